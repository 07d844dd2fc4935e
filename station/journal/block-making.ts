import { type ChannelReadings, decodeBlock, encodeBlock } from "./block-codec.js";
import type { BytesName } from "./checked-bytes.js";
import type { Db } from "./database.js";
import { at, inOrder, MINUTE_MS, type Rollup, takeReading } from "./rollup.js";
import { encodeMinutes } from "./rollup-codec.js";

/** A block with its minutes, as they are stored. */
export interface MadeBlock {
  readonly minWall: number;
  readonly maxWall: number;
  readonly data: Uint8Array;
  readonly minutes: readonly Rollup[];
  readonly minuteData: Uint8Array;
}

/** The smallest step a channel's sensor tells apart, as it was last defined; null for a channel nobody defined. */
export function resolutions(db: Db): (channel: number) => number | null {
  const find = db
    .prepare<[number], number | null>(
      `SELECT definition ->> '$.resolution' FROM channel_definition WHERE channel = ? ORDER BY id DESC LIMIT 1`,
    )
    .pluck();
  return (channel) => find.get(channel) ?? null;
}

/**
 * Encodes readings, and reads them back: what they were in goes for good.
 * @throws Error where what is read back is not the same
 */
export function makeBlock(name: BytesName, readings: ChannelReadings, resolution: number | null): MadeBlock {
  const data = encodeBlock(name, readings, resolution);
  requireSame(readings, decodeBlock(name, data));
  const minutes = minutesOf(readings);
  return {
    minWall: least(readings.wall),
    maxWall: most(readings.wall),
    data,
    minutes,
    minuteData: encodeMinutes(name, minutes, resolution),
  };
}

/** @throws Error where a block does not hold what it was given */
export function requireSame(given: ChannelReadings, back: ChannelReadings): void {
  const same =
    (["id", "wall", "mono", "value"] as const).every((key) => equal(given[key], back[key])) &&
    equal(given.status, back.status) &&
    JSON.stringify(given.statuses) === JSON.stringify(back.statuses);
  if (!same) throw new Error("A block did not read back as it was given, and was not kept.");
}

function equal(a: Float64Array | Uint16Array, b: Float64Array | Uint16Array): boolean {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (!Object.is(a[i], b[i])) return false;
  return true;
}

export function minutesOf({ wall, value, status, statuses }: ChannelReadings): Rollup[] {
  const minutes = new Map<number, Rollup>();
  for (let i = 0; i < wall.length; i++) {
    const bad = statuses[status[i] as number]?.quality === 2;
    takeReading(at(minutes, Math.floor((wall[i] as number) / MINUTE_MS)), value[i] as number, bad);
  }
  return inOrder(minutes);
}

function least(values: Float64Array): number {
  let found = Number.POSITIVE_INFINITY;
  for (let i = 0; i < values.length; i++) found = Math.min(found, values[i] as number);
  return found;
}

function most(values: Float64Array): number {
  let found = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) found = Math.max(found, values[i] as number);
  return found;
}
