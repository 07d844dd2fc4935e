import { AppError } from "../errors.js";
import { type ChannelReadings, decodeBlock } from "./block-codec.js";
import { DamagedBytes } from "./byte-stream.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";
import { WIDE_MS } from "./schema.js";
import { sessionsOf } from "./sessions.js";

/** A block as it is stored. */
export interface BlockRecord {
  readonly channel: number;
  /** The first id of its group. */
  readonly sealed: number;
  readonly min_wall: number;
  readonly max_wall: number;
  readonly data: Uint8Array;
}

/**
 * A block with its checksum looked at, as readings.
 * @throws AppError "readings-damaged"
 */
export function openBlock(
  { channel, sealed, min_wall, max_wall, data }: BlockRecord,
  name: string,
): ChannelReadings {
  try {
    const readings = decodeBlock({ channel, first: sealed }, data);
    // Questions find a block by these times.
    if (!within(readings.wall, min_wall, max_wall)) throw new DamagedBytes("They are of another time.");
    return readings;
  } catch (error) {
    throw damage(error, `The readings of ${spanWords(name, { min_wall, max_wall })}`);
  }
}

/** Of a block that was thinned the first or the last may be gone. */
function within(wall: Float64Array, least: number, greatest: number): boolean {
  return wall.every((each) => each >= least && each <= greatest);
}

/** What was found damaged in words; anything else as it is. */
export function damage(error: unknown, what: string): unknown {
  if (!(error instanceof DamagedBytes)) return error;
  return new AppError(
    "readings-damaged",
    `${what} are damaged in the journal and are not shown: put back a backup that has them. ${error.message}`,
  );
}

/** Which readings of a channel a block holds. */
export function spanWords(name: string, block: Pick<BlockRecord, "min_wall" | "max_wall">): string {
  return `${name} from ${isoWall(block.min_wall)} to ${isoWall(block.max_wall)}`;
}

export function isoWall(wall: number): string {
  return Number.isFinite(new Date(wall).getTime()) ? new Date(wall).toISOString() : `${wall} ms`;
}

/** What finds the blocks that hold readings of a channel in a window. */
export interface SealedReadings {
  /** By the wall clock, `from` included, `to` not. @throws AppError "readings-damaged", as it is walked */
  byWall(channel: number, name: string, from: number, to: number): Iterable<ChannelReadings>;
  /** The same by the monotonic clock of one boot. */
  byMono(channel: number, name: string, bootId: string, from: number, to: number): Iterable<ChannelReadings>;
}

/** Of the blocks that are not wide, only those that begin within WIDE_MS before the window can reach into it. */
export function overlappingBlocks(columns: string, joined: string): string {
  return `SELECT ${columns} FROM block b ${joined} WHERE b.channel = @channel AND b.min_wall > @from - ${WIDE_MS} - 1
       AND b.min_wall < @to AND b.max_wall >= @from AND b.max_wall - b.min_wall <= ${WIDE_MS}
     UNION ALL SELECT ${columns} FROM block b ${joined} WHERE b.channel = @channel AND b.max_wall - b.min_wall > ${WIDE_MS}
       AND b.min_wall < @to AND b.max_wall >= @from`;
}

export function createSealedReadings(db: Db): SealedReadings {
  const blocksByWall = db.prepare<{ channel: number; from: number; to: number }, BlockRecord>(
    overlappingBlocks("b.channel, b.sealed, b.min_wall, b.max_wall, b.data", ""),
  );
  const blocksByMono = db.prepare<{ channel: number; bootId: string; from: number; to: number }, BlockRecord>(
    `SELECT b.channel, b.sealed, b.min_wall, b.max_wall, b.data
     FROM sealed s CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
     WHERE s.session IN ${sessionsOf("@bootId")} AND s.max_mono >= @from
       AND CASE WHEN ${sound("sealed", "s")} THEN s.min_mono < @to END AND b.channel = @channel`,
  );

  return {
    *byWall(channel, name, from, to) {
      for (const block of blocksByWall.iterate({ channel, from, to })) yield openBlock(block, name);
    },
    *byMono(channel, name, bootId, from, to) {
      for (const block of blocksByMono.iterate({ channel, bootId, from, to })) yield openBlock(block, name);
    },
  };
}
