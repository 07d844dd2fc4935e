import { decodeBlock, encodeBlock } from "../block-codec.js";
import type { Db } from "../database.js";
import type { ThinOrder } from "../protocol.js";
import { encodeMinutes } from "../rollup-codec.js";
import { minutesOf, requireSame, resolutions } from "../sealing.js";
import { alikeRollups } from "../soundness/alike.js";
import { keptMinutes, readable, type StoredBlock } from "../soundness/blocks.js";
import { keptPlaces, pick, type RunWindow } from "./keeping.js";

/** Groups looked at in a step, most of which have been thinned before. */
const GROUPS_A_STEP = 200;

interface Group {
  readonly first_id: number;
  readonly min_mono: number;
  readonly max_mono: number;
  readonly max_wall: number;
  readonly first_block: number;
  readonly blocks: number;
  readonly boot_id: string;
}

/**
 * Takes the full resolution of old readings away, a block at a time, each in a transaction: the block then holds those that
 * stay, byte for byte what they were, and its minutes are all there is of the others. Rollups, runs and stamps are not
 * touched. A group is thinned once all its readings are older than the order says, and no block twice.
 */
export interface Thinner {
  /** Replaces the order before. */
  order(order: ThinOrder): void;
  /** @returns whether there was something to do @throws the SQLite error of a passing trouble: the step may be tried again */
  step(): boolean;
}

/** Between transactions of the one writing connection. */
export function createThinner(db: Db): Thinner {
  const someGroups = db.prepare<{ wall: number; id: number; before: number; most: number }, Group>(
    `SELECT s.first_id, s.min_mono, s.max_mono, s.max_wall, s.first_block, s.blocks, x.boot_id
     FROM sealed s JOIN session x ON x.id = s.session
     WHERE (s.max_wall, s.first_id) > (@wall, @id) AND s.max_wall < @before
     ORDER BY s.max_wall, s.first_id LIMIT @most`,
  );
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
    "SELECT start_mono, end_mono FROM run WHERE boot_id = ? AND start_mono <= ?",
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
  /** Of the groups before this one nothing is left to do. */
  let passed = { wall: Number.MIN_SAFE_INTEGER, id: 0 };
  let waiting: { readonly group: Group; readonly block: number }[] = [];

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

  function lookFor(order: ThinOrder): boolean {
    const groups = someGroups.all({ ...passed, before: order.beforeWall, most: GROUPS_A_STEP });
    const last = groups.at(-1);
    if (last === undefined) return false;
    passed = { wall: last.max_wall, id: last.first_id };
    waiting = groups.flatMap((group) =>
      unthinned
        .all(group.first_block, group.first_block + group.blocks - 1)
        .map((block) => ({ group, block })),
    );
    return true;
  }

  return {
    order(order) {
      current = order;
    },
    step() {
      if (current === null) return false;
      const next = waiting[0];
      if (next === undefined) {
        if (lookFor(current)) return true;
        current = null;
        return false;
      }
      thin.immediate(next.group, next.block, current);
      waiting.shift();
      return true;
    },
  };
}
