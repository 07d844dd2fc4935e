import { ByteSink, ByteSource, DamagedBytes } from "./byte-stream.js";
import { type BytesName, checkedBody, FORMATS, withChecksum } from "./checked-bytes.js";
import { readIntegers, writeIntegers } from "./integer-column.js";
import { emptyRollup, MINUTE_MS, PAGE_ROLLUPS, type Rollup, type RollupColumns } from "./rollup.js";
import {
  bestGrid,
  type Grid,
  gridValue,
  multipleOf,
  readGrid,
  readValues,
  writeGrid,
  writeValues,
} from "./value-column.js";

/** Rollups in a block's minutes at most: what a damaged count may ask memory for. */
const MOST_MINUTES = 2 ** 20;
const ON_GRID = 1;
const OFF_GRID = 0;

/**
 * The minutes of a block, in rising order. Where every value of the block is a multiple of the sensor's resolution, so
 * are the sums: they are kept as the whole number over `count` times the least, which takes a byte or two. Not deflated:
 * a chart reads hundreds of them, and inflating something so small costs ten times reading it.
 */
export function encodeMinutes(
  name: BytesName,
  minutes: readonly Rollup[],
  resolution: number | null,
): Uint8Array {
  const sink = new ByteSink(512);
  const column = (of: (rollup: Rollup) => number) => Float64Array.from(minutes, of);
  sink.varint(minutes.length);
  writeIntegers(
    sink,
    column(({ place }) => place),
  );
  writeIntegers(
    sink,
    column(({ count }) => count),
  );
  writeIntegers(
    sink,
    column(({ bad }) => bad),
  );
  writeSpans(
    sink,
    minutes.filter(({ count }) => count > 0),
    resolution,
  );
  return withChecksum(name, FORMATS.minutes, sink.written());
}

function writeSpans(sink: ByteSink, minutes: readonly Rollup[], resolution: number | null): void {
  const mins = Float64Array.from(minutes, ({ min }) => min);
  const maxs = Float64Array.from(minutes, ({ max }) => max);
  const { grid } = bestGrid(Float64Array.of(...mins, ...maxs), resolution);
  const columns = multiples(minutes, grid);
  if (columns === null) {
    sink.byte(OFF_GRID);
    writeValues(sink, mins, resolution);
    writeValues(sink, maxs, resolution);
    for (const { sum } of minutes) sink.double(sum);
    return;
  }
  sink.byte(ON_GRID);
  writeGrid(sink, grid);
  for (const column of columns) writeIntegers(sink, column);
}

/**
 * Least, span and sum over the least, as multiples; null unless that gives back the least and the greatest exactly and
 * the sum to within its own rounding.
 */
function multiples(minutes: readonly Rollup[], grid: Grid): Float64Array[] | null {
  const [mins, spans, sums] = [0, 1, 2].map(() => new Float64Array(minutes.length)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  for (const [i, { min, max, sum, count }] of minutes.entries()) {
    const least = multipleOf(grid, min);
    const most = multipleOf(grid, max);
    const total = Math.round(grid.divided ? sum * grid.step : sum / grid.step);
    if (least === null || most === null) return null;
    const back = gridValue(grid, total);
    // Adding n doubles one after another is off by n roundings at most.
    const slack = count * Number.EPSILON * count * Math.max(Math.abs(min), Math.abs(max));
    if (!(Math.abs(back - sum) <= slack)) return null;
    mins[i] = least;
    spans[i] = most - least;
    sums[i] = total - count * least;
  }
  return [mins, spans, sums];
}

/** @throws DamagedBytes */
export function decodeMinutes(name: BytesName, bytes: Uint8Array): RollupColumns {
  const source = new ByteSource(checkedBody(name, FORMATS.minutes, bytes));
  const length = source.varint();
  if (length > MOST_MINUTES) throw new DamagedBytes("There are more minutes than there can be.");
  const all = new Float64Array(6 * length);
  const place = readIntegers(source, length, columnOf(all, 0, length));
  const count = readIntegers(source, length, columnOf(all, 1, length));
  const bad = readIntegers(source, length, columnOf(all, 2, length));
  const spans = readSpans(source, count, all.subarray(3 * length));
  if (!source.ended) throw new DamagedBytes("The minutes go on after their end.");
  return { place, count, bad, ...spans };
}

function columnOf(all: Float64Array, which: number, length: number): Float64Array {
  return all.subarray(which * length, (which + 1) * length);
}

/** @param room zeros, three times as long as `count` */
function readSpans(
  source: ByteSource,
  count: Float64Array,
  room: Float64Array,
): Pick<RollupColumns, "min" | "max" | "sum"> {
  let valued = 0;
  for (const held of count) if (held > 0) valued++;
  const onGrid = source.byte() === ON_GRID;
  const spans = onGrid ? readOnGrid(source, count, valued, room) : readOffGrid(source, valued);
  if (valued === count.length) return spans;
  const empty = emptyRollup(0);
  return {
    min: spread(spans.min, count, empty.min),
    max: spread(spans.max, count, empty.max),
    sum: spread(spans.sum, count, empty.sum),
  };
}

function readOffGrid(source: ByteSource, valued: number) {
  const min = readValues(source, valued);
  const max = readValues(source, valued);
  const sum = new Float64Array(valued);
  for (let i = 0; i < valued; i++) sum[i] = source.double();
  return { min, max, sum };
}

function readOnGrid(source: ByteSource, count: Float64Array, valued: number, room: Float64Array) {
  const grid = readGrid(source);
  const min = readIntegers(source, valued, columnOf(room, 0, valued));
  const max = readIntegers(source, valued, columnOf(room, 1, valued));
  const sum = readIntegers(source, valued, columnOf(room, 2, valued));
  let next = 0;
  for (let i = 0; i < valued; i++, next++) {
    while (count[next] === 0) next++;
    const least = min[i] as number;
    min[i] = gridValue(grid, least);
    max[i] = gridValue(grid, least + (max[i] as number));
    sum[i] = gridValue(grid, (sum[i] as number) + (count[next] as number) * least);
  }
  return { min, max, sum };
}

/** Into their places among the minutes that have no value. */
function spread(values: Float64Array, count: Float64Array, none: number): Float64Array {
  let next = 0;
  return count.map((held) => (held > 0 ? (values[next++] as number) : none));
}

const MIN = 0;
const MAX = 8 * PAGE_ROLLUPS;
const SUM = 16 * PAGE_ROLLUPS;
const COUNT = 24 * PAGE_ROLLUPS;
const BAD = 28 * PAGE_ROLLUPS;
const PAGE_BYTES = 32 * PAGE_ROLLUPS;

/** A page of neighbouring rollups; those that are empty are not told from those that were never there. */
export function encodePage(name: BytesName, rollups: Iterable<Rollup>): Uint8Array {
  const body = new Uint8Array(PAGE_BYTES);
  const view = new DataView(body.buffer);
  for (const { place, min, max, sum, count, bad } of rollups) {
    const i = place - name.first;
    if (count > 0) {
      view.setFloat64(MIN + 8 * i, min, true);
      view.setFloat64(MAX + 8 * i, max, true);
      view.setFloat64(SUM + 8 * i, sum, true);
    }
    view.setUint32(COUNT + 4 * i, count, true);
    view.setUint32(BAD + 4 * i, bad, true);
  }
  return withChecksum(name, FORMATS.page, body);
}

/** In rising order, the empty ones too, which have a `count` and `bad` of 0 and no other figures. @throws DamagedBytes */
export function decodePage(name: BytesName, bytes: Uint8Array): RollupColumns {
  const body = checkedBody(name, FORMATS.page, bytes);
  if (body.length !== PAGE_BYTES) throw new DamagedBytes("A page of rollups is of another size.");
  // A copy begins at a multiple of eight, as the columns must, and is only right on a little-endian machine, as every one
  // that SQLite and Node come built for on a Pi or a desk is.
  const { buffer } = new Uint8Array(body);
  const place = new Float64Array(PAGE_ROLLUPS);
  for (let i = 0; i < PAGE_ROLLUPS; i++) place[i] = name.first + i;
  return {
    place,
    min: new Float64Array(buffer, MIN, PAGE_ROLLUPS),
    max: new Float64Array(buffer, MAX, PAGE_ROLLUPS),
    sum: new Float64Array(buffer, SUM, PAGE_ROLLUPS),
    count: new Uint32Array(buffer, COUNT, PAGE_ROLLUPS),
    bad: new Uint32Array(buffer, BAD, PAGE_ROLLUPS),
  };
}

/** @param width of the rollups: a quarter and a day of the same place are not to be taken for each other */
export function pageName(channel: number, width: number, page: number): BytesName {
  return { channel: channel + (width / MINUTE_MS) * 2 ** 20, first: page * PAGE_ROLLUPS };
}
