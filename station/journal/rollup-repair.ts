import { AppError } from "../errors.js";
import { DamagedBytes } from "./byte-stream.js";
import type { Db } from "./database.js";
import {
  at,
  MINUTE_MS,
  PAGED_WIDTHS,
  pageOf,
  type Rollup,
  rollupsOf,
  takeRollup,
  widened,
} from "./rollup.js";
import { decodeMinutes, encodeMinutes, pageName } from "./rollup-codec.js";
import { createRollupPages, pageRollups } from "./rollup-pages.js";
import { LIVE_MINUTES_QUERY, LIVE_MINUTES_SQL } from "./schema.js";
import { type BlockRecord, openBlock } from "./sealed.js";
import { minutesOf, resolutions } from "./sealing.js";

interface StoredBlock extends BlockRecord {
  readonly id: number;
  readonly minutes: Uint8Array | null;
}

interface ChannelRecord {
  readonly id: number;
  readonly name: string;
}

interface LiveRow {
  readonly stretch: number;
  readonly minute: number;
  readonly channel: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly sum: number;
  readonly count: number;
  readonly bad: number;
}

function channels(db: Db): ChannelRecord[] {
  return db.prepare<[], ChannelRecord>("SELECT id, name FROM channel ORDER BY id").all();
}

/** The minutes kept with a block; null where they are not there or damaged. */
function keptMinutes({ channel, sealed, minutes }: StoredBlock): Rollup[] | null {
  if (minutes === null) return null;
  return unlessDamaged(() => rollupsOf(decodeMinutes({ channel, first: sealed }, minutes)));
}

/** Worked out from the readings; null where those are damaged. */
function trueMinutes(block: StoredBlock, name: string): Rollup[] | null {
  return unlessDamaged(() => minutesOf(openBlock(block, name)));
}

function unlessDamaged<T>(read: () => T): T | null {
  try {
    return read();
  } catch (error) {
    if (error instanceof DamagedBytes) return null;
    if (error instanceof AppError && error.code === "readings-damaged") return null;
    throw error;
  }
}

/**
 * Compares every rollup there is with the readings, and says where they differ, a sentence each. Reads the whole journal:
 * a year of three channels at 1 s takes some ten seconds. Of a damaged block the minutes are taken as they are.
 */
export function wrongRollups(db: Db): string[] {
  return db.transaction(() => [
    ...channels(db).flatMap((channel) => wrongSealed(db, channel)),
    ...wrongLive(db),
  ])();
}

function wrongSealed(db: Db, { id, name }: ChannelRecord): string[] {
  const wrong: string[] = [];
  const wide = PAGED_WIDTHS.map(() => new Map<number, Rollup>());
  for (const block of blocksOf(db, id)) {
    const kept = keptMinutes(block);
    const minutes = trueMinutes(block, name) ?? kept;
    if (minutes === null) continue;
    if (kept === null || !same(kept, minutes))
      wrong.push(`The minutes of ${name} under ${block.sealed} are wrong.`);
    for (const [i, width] of PAGED_WIDTHS.entries()) {
      const into = wide[i] as Map<number, Rollup>;
      for (const rollup of widened(minutes, MINUTE_MS, width)) takeRollup(at(into, rollup.place), rollup);
    }
  }
  for (const [i, width] of PAGED_WIDTHS.entries()) {
    const pages = wrongPages(db, id, width, wide[i] as Map<number, Rollup>);
    wrong.push(
      ...pages.map(
        (page) => `Page ${page} of the rollups of ${name} over ${width / MINUTE_MS} min is wrong.`,
      ),
    );
  }
  return wrong;
}

function wrongPages(db: Db, channel: number, width: number, expected: ReadonlyMap<number, Rollup>): number[] {
  const stored = db
    .prepare<[number, number], { page: number; data: Uint8Array }>(
      "SELECT page, data FROM rollup_page WHERE channel = ? AND width = ?",
    )
    .all(channel, width);
  const byPage = new Map<number, Rollup[]>(stored.map(({ page }) => [page, []]));
  for (const rollup of expected.values()) {
    const page = pageOf(rollup.place);
    byPage.set(page, [...(byPage.get(page) ?? []), rollup]);
  }
  const kept = new Map(
    stored.map(({ page, data }) => [
      page,
      unlessDamaged(() => pageRollups(pageName(channel, width, page), data)),
    ]),
  );
  return [...byPage]
    .filter(([page, rollups]) => {
      const held = kept.get(page) ?? null;
      return held === null || !same(held, rollups);
    })
    .map(([page]) => page)
    .sort((a, b) => a - b);
}

function wrongLive(db: Db): string[] {
  const key = ({ stretch, minute, channel }: LiveRow) => `${stretch} ${minute} ${channel}`;
  const kept = new Map(
    db
      .prepare<[], LiveRow>("SELECT * FROM live_minute")
      .all()
      .map((row) => [key(row), row]),
  );
  let wrong = 0;
  for (const row of db.prepare<[], LiveRow>(LIVE_MINUTES_QUERY).iterate()) {
    const other = kept.get(key(row));
    kept.delete(key(row));
    if (other === undefined || !equal(liveRollup(row), liveRollup(other))) wrong++;
  }
  wrong += kept.size;
  return wrong === 0 ? [] : [`${wrong} of the newest minutes are wrong.`];
}

function liveRollup({ minute, min, max, sum, count, bad }: LiveRow): Rollup {
  return { place: minute, min: min ?? 0, max: max ?? 0, sum, count, bad };
}

/** Whatever their order, those of the same place together. */
function same(a: readonly Rollup[], b: readonly Rollup[]): boolean {
  const others = new Map(b.map((rollup) => [rollup.place, rollup]));
  return a.length === b.length && a.every((rollup) => equal(rollup, others.get(rollup.place)));
}

/** Sums as near as adding in another order lets them be. */
function equal(a: Rollup, b: Rollup | undefined): boolean {
  if (b === undefined) return false;
  const slack = 1e-9 * Math.max(1, Math.abs(a.sum), a.count * Math.max(Math.abs(a.min), Math.abs(a.max)));
  const sums = a.count === 0 || Object.is(a.sum, b.sum) || Math.abs(a.sum - b.sum) <= slack;
  const spans = a.count === 0 || (a.min === b.min && a.max === b.max);
  return a.count === b.count && a.bad === b.bad && spans && sums;
}

/**
 * Makes all rollups anew from the readings, inside a transaction of the caller's. Of a damaged block the minutes stay:
 * they are what is left of it.
 */
export function rebuildRollups(db: Db): void {
  db.exec("DELETE FROM rollup_page; DELETE FROM live_minute;");
  db.exec(LIVE_MINUTES_SQL);
  const save = db.prepare(
    `INSERT INTO block_minutes (block, data) VALUES (?, ?) ON CONFLICT (block) DO UPDATE SET data = excluded.data`,
  );
  const resolutionOf = resolutions(db);
  const pages = createRollupPages(db);
  for (const { id, name } of channels(db)) {
    for (const block of blocksOf(db, id)) {
      const minutes = trueMinutes(block, name);
      if (minutes !== null) {
        const bytes = encodeMinutes({ channel: id, first: block.sealed }, minutes, resolutionOf(id));
        save.run(block.id, bytes);
      }
      pages.add(id, minutes ?? keptMinutes(block) ?? []);
    }
  }
}

/** Some at a time: all of them would be the journal itself, and while a statement is being walked nothing can be written. */
function* blocksOf(db: Db, channel: number): Generator<StoredBlock> {
  const some = db.prepare<[number, number], StoredBlock>(
    `SELECT b.id, b.channel, b.sealed, b.min_wall, b.max_wall, b.data, m.data AS minutes
     FROM block b LEFT JOIN block_minutes m ON m.block = b.id WHERE b.id > ? AND +b.channel = ? ORDER BY b.id LIMIT 200`,
  );
  for (let after = 0; ; ) {
    const blocks = some.all(after, channel);
    yield* blocks;
    const last = blocks.at(-1);
    if (last === undefined) return;
    after = last.id;
  }
}
