import { decodeBlock, encodeBlock } from "../block-codec.js";
import { minutesOf, requireSame, resolutions } from "../block-making.js";
import type { Db } from "../database.js";
import { keptMinutes } from "../kept-minutes.js";
import type { ThinOrder } from "../protocol.js";
import { encodeMinutes } from "../rollup-codec.js";
import { sound } from "../row-checks.js";
import { alikeRollups } from "../soundness/alike.js";
import { readable, type StoredBlock } from "../soundness/blocks.js";
import { keptPlaces, pick, type RunWindow } from "./keeping.js";
import { createOldGroups } from "./old-groups.js";

/** Groups looked at in a step, most of which have been thinned before. */
const GROUPS_A_STEP = 200;
/** No reading of a station is older than its first version. */
const FIRST_STATION = Date.UTC(2026, 0, 1);

interface Group {
  readonly first_id: number;
  readonly min_mono: number;
  readonly max_mono: number;
  readonly first_block: number;
  readonly blocks: number;
  readonly boot_id: string;
  readonly dated: number;
}

/**
 * Takes the full resolution of old readings away, a block at a time, each in a transaction: the block then holds those that
 * stay, byte for byte what they were, and its minutes are all there is of the others. Rollups, runs and stamps are not
 * touched. A group is thinned once all its readings are known to be older than the order says, and no block twice.
 */
export interface Thinner {
  /** Replaces the order before. */
  order(order: ThinOrder): void;
  /** @returns whether there was something to do @throws the SQLite error of a passing trouble: the step may be tried again */
  step(): boolean;
}

/** Between transactions of the one writing connection. */
export function createThinner(db: Db): Thinner {
  const someGroups = db.prepare<[number, number], Group>(
    `SELECT s.first_id, s.min_mono, s.max_mono, s.max_wall AS dated, s.first_block, s.blocks, x.boot_id
     FROM sealed s JOIN session x ON x.id = s.session WHERE s.first_id > ? AND ${sound("sealed", "s")}
     ORDER BY s.first_id LIMIT ?`,
  );
  const ahead = db
    .prepare<{ bootId: string }, number>(
      `SELECT max(ahead) FROM (
         SELECT max_wall - max_mono AS ahead FROM sealed WHERE session IN (SELECT id FROM session WHERE boot_id = @bootId)
         UNION ALL SELECT max_wall - max_mono FROM stretch WHERE session IN (SELECT id FROM session WHERE boot_id = @bootId))`,
    )
    .pluck();
  const unthinned = db
    .prepare<[number, number], number>(
      `SELECT b.id FROM block b WHERE b.id BETWEEN ? AND ?
         AND NOT EXISTS (SELECT 1 FROM thinned t WHERE t.block = b.id) ORDER BY b.id`,
    )
    .pluck();
  const blockById = db.prepare<[number], StoredBlock>(
    `SELECT b.id, b.channel, b.sealed, b.min_wall, b.max_wall, b.readings, b.data, c.name, m.data AS minutes, 0 AS removed
     FROM block b JOIN channel c ON c.id = b.channel LEFT JOIN block_minutes m ON m.block = b.id WHERE b.id = ?`,
  );
  const runsNear = db.prepare<[string, number], { start_mono: number; end_mono: number | null }>(
    `SELECT start_mono, end_mono FROM run WHERE boot_id = ? AND start_mono <= ? AND ${sound("run")}`,
  );
  // Taken out and put in again: SQLite joins pages that have become nearly empty when a row is deleted, and only then, so
  // that an UPDATE would leave holes that nothing ever fills.
  const takeOut = db.prepare("DELETE FROM block WHERE id = ?");
  const putIn = db.prepare(
    "INSERT INTO block (id, sealed, channel, min_wall, max_wall, readings, data) VALUES (?, ?, ?, ?, ?, ?, ?)",
  );
  const saveMinutes = db.prepare(
    "INSERT INTO block_minutes (block, data) VALUES (?, ?) ON CONFLICT (block) DO UPDATE SET data = excluded.data",
  );
  const saveThinned = db.prepare("INSERT INTO thinned (block, removed) VALUES (?, ?)");
  const resolutionOf = resolutions(db);
  let current: ThinOrder | null = null;
  /** The last group that was taken in. */
  let passed = Number.MIN_SAFE_INTEGER;
  const groups = createOldGroups<Group>(FIRST_STATION);
  /** By how much the wall clock was ahead of the monotonic one at most, in the boot that was last looked at. */
  let boot = { id: "", ahead: 0 };
  const waiting: { readonly group: Group; readonly block: number }[] = [];

  function runsAround({ boot_id, min_mono, max_mono }: Group, { reach }: ThinOrder): RunWindow[] {
    return runsNear
      .all(boot_id, max_mono + reach.leadMs + reach.lookBackMs)
      .map(({ start_mono, end_mono }) => ({
        startMono: start_mono,
        endMono: end_mono ?? Number.POSITIVE_INFINITY,
      }))
      .filter(({ endMono }) => endMono + reach.afterMs >= min_mono);
  }

  const thin = db.transaction((group: Group, id: number, order: ThinOrder) => {
    const block = blockById.get(id);
    const readings = block === undefined ? null : readable(block);
    // What cannot be read is left as it is: `verify` says so.
    if (block === undefined || readings === null) return;
    const places = keptPlaces(readings, runsAround(group, order), order.reach, group.max_mono);
    const removed = readings.id.length - places.length;
    if (removed > 0) {
      const name = { channel: block.channel, first: block.sealed };
      const resolution = resolutionOf(block.channel);
      // From now on the minutes are all there is of the readings that go: they have to be right.
      const minutes = minutesOf(readings);
      const kept = keptMinutes(block);
      if (kept === null || !alikeRollups(kept, minutes)) {
        saveMinutes.run(id, encodeMinutes(name, minutes, resolution));
      }
      const left = pick(readings, places);
      const data = encodeBlock(name, left, resolution);
      requireSame(left, decodeBlock(name, data));
      const { channel, sealed, min_wall, max_wall } = block;
      // What refers to the block is looked at once it is there again, at the end of the transaction.
      db.pragma("defer_foreign_keys = ON");
      takeOut.run(id);
      putIn.run(id, sealed, channel, min_wall, max_wall, places.length, data);
    }
    saveThinned.run(id, removed);
  });

  /** Takes some more groups in; returns whether there may be others. */
  function lookFurther(order: ThinOrder): boolean {
    const some = someGroups.all(passed, GROUPS_A_STEP);
    for (const found of some) {
      const group = { ...found, dated: Math.max(found.dated, found.max_mono + aheadIn(found.boot_id)) };
      const old = groups.take(group, order.beforeWall);
      if (old === null) return waiting.length > 0;
      passed = group.first_id;
      waiting.push(...old.flatMap(blocksOf));
    }
    return some.length > 0;
  }

  /** Readings from before the clock was set are dated as it was afterwards. */
  function aheadIn(bootId: string): number {
    if (boot.id !== bootId) boot = { id: bootId, ahead: ahead.get({ bootId }) ?? 0 };
    return boot.ahead;
  }

  function blocksOf(group: Group): { readonly group: Group; readonly block: number }[] {
    return unthinned
      .all(group.first_block, group.first_block + group.blocks - 1)
      .map((block) => ({ group, block }));
  }

  return {
    order(order) {
      current = order;
      boot = { id: "", ahead: 0 };
    },
    step() {
      if (current === null) return false;
      const next = waiting[0];
      if (next === undefined) {
        if (lookFurther(current)) return true;
        current = null;
        return false;
      }
      thin.immediate(next.group, next.block, current);
      waiting.shift();
      return true;
    },
  };
}
