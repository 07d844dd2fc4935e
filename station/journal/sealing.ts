import type { ChannelReadings, Status } from "./block-codec.js";
import { type MadeBlock, makeBlock, resolutions } from "./block-making.js";
import { damagedRows } from "./checked-stretches.js";
import type { Db } from "./database.js";
import { createRollupPages } from "./rollup-pages.js";
import { sound } from "./row-checks.js";
import { WIDE_MS } from "./schema.js";
import { createStretchRows, type RowColumns } from "./stretch-rows.js";

/** Readings stay rows for as long; monotonic milliseconds. */
export const SEAL_AFTER_MS = 3_600_000;
/** A group of stretches is sealed once it spans this, or holds as many rows. */
const GROUP_MS = 3_600_000;
const GROUP_STRETCHES = 16;

interface StretchRecord {
  readonly first_id: number;
  readonly last_id: number;
  readonly session: number;
  readonly min_wall: number;
  readonly max_wall: number;
  readonly min_mono: number;
  readonly max_mono: number;
  readonly sum: number;
}

/** The readings of one channel as they are gathered. */
interface Gathered {
  readonly id: number[];
  readonly wall: number[];
  readonly mono: number[];
  readonly value: number[];
  readonly status: number[];
  readonly statuses: Status[];
}

interface Encoded extends MadeBlock {
  readonly channel: number;
  readonly readings: number;
}

interface Job {
  readonly group: readonly StretchRecord[];
  read: number;
  readonly gathered: Map<number, Gathered>;
  readonly encoded: Encoded[];
}

/**
 * Turns old rows into blocks, a step at a time, so that no commit waits longer than a step takes: some milliseconds for
 * reading a stretch, or for a channel's block, or for the one transaction that puts the blocks in and takes the rows out.
 * Nothing is written before that, and until then nothing else touches those rows: only the newest stretch still grows.
 */
export interface Sealer {
  /**
   * @returns whether there was something to do
   * @throws the SQLite error of a passing trouble: nothing of the group was written, the next step begins it again
   */
  step(): boolean;
  /** Rows have changed: what was read of them is read again. */
  forget(): void;
}

/** Between transactions of the one writing connection. */
export function createSealer(db: Db): Sealer {
  const stretches = db.prepare<[number], StretchRecord>(
    `SELECT * FROM stretch WHERE ${sound("stretch")} ORDER BY first_id LIMIT ?`,
  );
  const newestStretch = db.prepare<[], StretchRecord>(
    `SELECT * FROM stretch WHERE ${sound("stretch")} ORDER BY first_id DESC LIMIT 1`,
  );
  const stretchRows = createStretchRows(db);
  const resolutionOf = resolutions(db);
  const nextBlock = db.prepare<[], number>("SELECT coalesce(max(id), 0) + 1 FROM block").pluck();
  const insertSealed = db.prepare(
    `INSERT INTO sealed (first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, first_block, blocks)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const insertBlock = db.prepare(
    "INSERT INTO block (id, sealed, channel, min_wall, max_wall, readings, data) VALUES (?, ?, ?, ?, ?, ?, ?)",
  );
  const insertMinutes = db.prepare("INSERT INTO block_minutes (block, data) VALUES (?, ?)");
  const deleteRows = db.prepare("DELETE FROM reading WHERE id BETWEEN ? AND ?");
  const deleteLive = db.prepare("DELETE FROM live_minute WHERE stretch BETWEEN ? AND ?");
  const deleteStretches = db.prepare("DELETE FROM stretch WHERE first_id BETWEEN ? AND ?");
  const pages = createRollupPages(db);
  let job: Job | null = null;

  function begin(): Job | null {
    const newest = newestStretch.get();
    if (newest === undefined) return null;
    const oldest = stretches.all(GROUP_STRETCHES + 1);
    const group = groupOf(
      oldest.filter(({ first_id }) => first_id !== newest.first_id),
      newest,
    );
    return group === null ? null : { group, read: 0, gathered: new Map(), encoded: [] };
  }

  /** What is not as it was written must not get a checksum that says it is. */
  function readStretch({ gathered }: Job, stretch: StretchRecord): void {
    const rows = stretchRows.sound(stretch.first_id, stretch.last_id, stretch.sum);
    if (rows === null) throw damagedRows(stretch);
    take(gathered, rows);
  }

  function encode({ group, gathered, encoded }: Job, channel: number, of: Gathered): void {
    const readings = columnsOf(of);
    const name = { channel, first: first(group).first_id };
    const resolution = resolutionOf(channel);
    encoded.push({ channel, readings: readings.id.length, ...makeBlock(name, readings, resolution) });
    gathered.delete(channel);
  }

  const write = db.transaction(({ group, encoded }: Job) => {
    const { first_id: firstId, session } = first(group);
    const { first_id: lastStretch, last_id: lastId } = group.at(-1) as StretchRecord;
    const firstBlock = nextBlock.get() as number;
    const of = (key: "min_wall" | "max_wall" | "min_mono" | "max_mono") =>
      group.map((stretch) => stretch[key]);
    insertSealed.run(
      firstId,
      lastId,
      session,
      Math.min(...of("min_wall")),
      Math.max(...of("max_wall")),
      Math.min(...of("min_mono")),
      Math.max(...of("max_mono")),
      firstBlock,
      encoded.length,
    );
    for (const [i, { channel, minWall, maxWall, readings, data, minutes, minuteData }] of encoded.entries()) {
      insertBlock.run(firstBlock + i, firstId, channel, minWall, maxWall, readings, data);
      insertMinutes.run(firstBlock + i, minuteData);
      pages.add(channel, minutes);
    }
    const removed = deleteRows.run(firstId, lastId).changes;
    const kept = encoded.reduce((sum, { readings }) => sum + readings, 0);
    if (removed !== kept) throw new Error(`${removed} rows would go for ${kept} readings in blocks.`);
    deleteLive.run(firstId, lastStretch);
    deleteStretches.run(firstId, lastStretch);
  });

  function advance(current: Job): boolean {
    const stretch = current.group[current.read];
    if (stretch !== undefined) {
      readStretch(current, stretch);
      current.read++;
      return true;
    }
    for (const [channel, of] of current.gathered) {
      encode(current, channel, of);
      return true;
    }
    write.immediate(current);
    job = null;
    return true;
  }

  return {
    step() {
      job ??= begin();
      if (job === null) return false;
      try {
        return advance(job);
      } catch (error) {
        job = null;
        throw error;
      }
    },
    forget() {
      job = null;
    },
  };
}

/**
 * The oldest stretches that make a group; null while they do not yet. Old is measured by the newest reading, not by a
 * clock: those of another session than the newest one's are old in any case.
 */
function groupOf(oldest: readonly StretchRecord[], newest: StretchRecord): StretchRecord[] | null {
  const head = oldest[0];
  if (head === undefined) return null;
  const group: StretchRecord[] = [];
  let [minMono, maxMono, minWall, maxWall] = [head.min_mono, head.max_mono, head.min_wall, head.max_wall];
  for (const stretch of oldest) {
    if (stretch.session !== head.session || group.length === GROUP_STRETCHES) return group;
    if (stretch.session === newest.session && stretch.max_mono > newest.max_mono - SEAL_AFTER_MS) return null;
    minWall = Math.min(minWall, stretch.min_wall);
    maxWall = Math.max(maxWall, stretch.max_wall);
    // A clock that was set begins a group of its own where it can.
    if (group.length > 0 && maxWall - minWall > WIDE_MS) return group;
    group.push(stretch);
    minMono = Math.min(minMono, stretch.min_mono);
    maxMono = Math.max(maxMono, stretch.max_mono);
    if (maxMono - minMono >= GROUP_MS) return group;
  }
  // All but the newest: where that is of another session, nothing more will come.
  return newest.session === head.session ? null : group;
}

function first(group: readonly StretchRecord[]): StretchRecord {
  return group[0] as StretchRecord;
}

function take(gathered: Map<number, Gathered>, rows: RowColumns): void {
  const { id, channel, wall, mono, value, quality, reason } = rows;
  for (let i = 0; i < id.length; i++) {
    const into = gatheredOf(gathered, channel[i] as number);
    const row = id[i] as number;
    into.id.push(row);
    into.wall.push(wall[i] as number);
    into.mono.push(mono[i] as number);
    into.value.push(value[i] as number);
    into.status.push(statusOf(into, quality[i] as number, reason.get(row) ?? null));
  }
}

function gatheredOf(gathered: Map<number, Gathered>, channel: number): Gathered {
  let into = gathered.get(channel);
  if (into === undefined) {
    into = { id: [], wall: [], mono: [], value: [], status: [], statuses: [] };
    gathered.set(channel, into);
  }
  return into;
}

function statusOf({ statuses }: Gathered, quality: number, reason: string | null): number {
  for (let i = 0; i < statuses.length; i++) {
    const known = statuses[i] as Status;
    if (known.quality === quality && known.reason === reason) return i;
  }
  return statuses.push({ quality, reason }) - 1;
}

function columnsOf({ id, wall, mono, value, status, statuses }: Gathered): ChannelReadings {
  return {
    id: new Float64Array(id),
    wall: new Float64Array(wall),
    mono: new Float64Array(mono),
    value: new Float64Array(value),
    status: new Uint16Array(status),
    statuses,
  };
}
