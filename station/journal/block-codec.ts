import { constants, deflateRawSync, inflateRawSync } from "node:zlib";
import { ByteSink, ByteSource, DamagedBytes } from "./byte-stream.js";
import { type BytesName, checkedBody, FORMATS, withChecksum } from "./checked-bytes.js";
import { readIntegers, readResiduals, writeIntegers, writeResiduals } from "./integer-column.js";
import { readValues, writeValues } from "./value-column.js";

/** Readings of one channel in one session, in the order they were written, as columns. */
export interface ChannelReadings {
  /** The ids of their rows: their place among the readings of all channels. Rising. */
  readonly id: Float64Array;
  /** UTC milliseconds. */
  readonly wall: Float64Array;
  /** Milliseconds since the boot. */
  readonly mono: Float64Array;
  /** NaN stands for null; a reading whose value is not a number does not exist (SQLite keeps NaN as NULL). */
  readonly value: Float64Array;
  /** A place in `statuses`. */
  readonly status: Uint16Array;
  /** The pairs that occur, in the order of their first use. */
  readonly statuses: readonly Status[];
}

export interface Status {
  /** 0 good, 1 uncertain, 2 bad, as in the table of readings. */
  readonly quality: number;
  readonly reason: string | null;
}

/** Readings in a block at most: what a damaged count may ask memory for. */
export const MOST_READINGS = 2 ** 20;
const BY_MONO = 1;
const BY_ITSELF = 0;
const NO_VALUE = 1;
const HAS_VALUE = 0;

/**
 * A block: the columns deflated, with a checksum. The Huffman stage alone is as small
 * as all of deflate here, for the columns hold differences with their runs counted already, and takes a third of the time.
 *
 * The columns: ids, monotonic times and wall less monotonic time as steps; changes of status and of having a value; the
 * values there are as multiples of the sensor's resolution. What is read back is the same to the bit.
 * @param resolution smallest step the sensor tells apart; null where it is not known
 */
export function encodeBlock(
  name: BytesName,
  readings: ChannelReadings,
  resolution: number | null,
): Uint8Array {
  const sink = new ByteSink();
  const count = readings.id.length;
  sink.varint(count);
  writeIntegers(sink, readings.id);
  writeIntegers(sink, readings.mono);
  writeWall(sink, readings);
  writeStatuses(sink, readings);
  const { there, values } = presence(readings.value);
  writeResiduals(sink, changes(there));
  writeValues(sink, values, resolution);
  const packed = deflateRawSync(sink.written(), { strategy: constants.Z_HUFFMAN_ONLY });
  return withChecksum(name, FORMATS.block, packed);
}

/** @throws DamagedBytes where the checksum or anything else in it is not right */
export function decodeBlock(name: BytesName, block: Uint8Array): ChannelReadings {
  const source = opened(name, block);
  const count = source.varint();
  if (count > MOST_READINGS) throw new DamagedBytes("The block says it holds more than it can.");
  const id = readIntegers(source, count);
  const mono = readIntegers(source, count);
  const wall = readWall(source, mono);
  const { status, statuses } = readStatuses(source, count);
  const there = readResiduals(source, count);
  let missing = 0;
  let none = 0;
  for (let i = 0; i < count; i++) {
    none += there[i] as number;
    there[i] = none;
    missing += none;
  }
  const values = readValues(source, count - missing);
  if (!source.ended) throw new DamagedBytes("The block goes on after its end.");
  const value = missing === 0 ? values : spread(values, there);
  return { id, wall, mono, value, status, statuses };
}

function opened(name: BytesName, block: Uint8Array): ByteSource {
  const packed = checkedBody(name, FORMATS.block, block);
  try {
    return new ByteSource(inflateRawSync(packed));
  } catch (error) {
    throw new DamagedBytes(`The block cannot be inflated: ${String(error)}`);
  }
}

/**
 * Less the monotonic time, for that changes only where somebody, or the network, sets the clock; by itself where the
 * difference would not be exact.
 */
function writeWall(sink: ByteSink, { wall, mono }: ChannelReadings): void {
  const offsets = new Float64Array(wall.length);
  let exact = true;
  for (let i = 0; i < wall.length; i++) {
    const offset = (wall[i] as number) - (mono[i] as number);
    offsets[i] = offset;
    if (!Object.is(offset + (mono[i] as number), wall[i])) exact = false;
  }
  sink.byte(exact ? BY_MONO : BY_ITSELF);
  writeIntegers(sink, exact ? offsets : wall);
}

function readWall(source: ByteSource, mono: Float64Array): Float64Array {
  const byMono = source.byte() === BY_MONO;
  const wall = readIntegers(source, mono.length);
  if (byMono) for (let i = 0; i < wall.length; i++) wall[i] = (wall[i] as number) + (mono[i] as number);
  return wall;
}

/** Where there is a value, and those there are. Loops all of them, for callbacks took half the time of sealing an hour. */
function presence(value: Float64Array): { there: Float64Array; values: Float64Array } {
  const there = new Float64Array(value.length);
  const values = new Float64Array(value.length);
  let count = 0;
  for (let i = 0; i < value.length; i++) {
    const of = value[i] as number;
    there[i] = Number.isNaN(of) ? NO_VALUE : HAS_VALUE;
    if (!Number.isNaN(of)) values[count++] = of;
  }
  return { there, values: values.subarray(0, count) };
}

function changes(column: ArrayLike<number>): Float64Array {
  const steps = new Float64Array(column.length);
  let before = 0;
  for (let i = 0; i < column.length; i++) {
    const value = column[i] as number;
    steps[i] = value - before;
    before = value;
  }
  return steps;
}

function spread(values: Float64Array, none: Float64Array): Float64Array {
  let next = 0;
  return none.map((missing) => (missing === NO_VALUE ? Number.NaN : (values[next++] as number)));
}

function writeStatuses(sink: ByteSink, { status, statuses }: ChannelReadings): void {
  sink.varint(statuses.length);
  for (const { quality, reason } of statuses) {
    sink.varint(quality);
    sink.byte(reason === null ? 0 : 1);
    if (reason !== null) sink.text(reason);
  }
  writeResiduals(sink, changes(status));
}

function readStatuses(source: ByteSource, count: number): Pick<ChannelReadings, "status" | "statuses"> {
  const statuses: Status[] = [];
  for (let left = source.varint(); left > 0; left--) {
    const quality = source.varint();
    statuses.push({ quality, reason: source.byte() === 0 ? null : source.text() });
  }
  const steps = readResiduals(source, count);
  const status = new Uint16Array(count);
  let at = 0;
  for (let i = 0; i < count; i++) {
    at += steps[i] as number;
    if (statuses[at] === undefined) throw new DamagedBytes("A reading has no known quality.");
    status[i] = at;
  }
  return { status, statuses };
}
