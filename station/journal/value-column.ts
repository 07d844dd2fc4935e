import { type ByteSink, type ByteSource, DamagedBytes, MOST_INTEGER } from "./byte-stream.js";
import { readIntegers, writeIntegers } from "./integer-column.js";

/**
 * Measured values as whole numbers, to the bit. A sensor says only multiples of its resolution, so a value is kept as
 * the multiple where working it out again gives the very same double, and otherwise as it is: nothing is rounded here.
 */
const GRID = 0;
/** Values that lie on no grid, such as calibrated ones, but are few: their ranks in a list of them. */
const RANKS = 1;
const LITERAL = 2;

/** `multiple * step`, or `multiple / step`: 213 * 0.1 is not the double that "21.3" stands for, 213 / 10 is. */
export interface Grid {
  readonly divided: boolean;
  readonly step: number;
}

/** Kernel drivers speak in thousandths, whatever their sensor can tell apart. */
const THOUSANDTHS: Grid = { divided: true, step: 1000 };
/** Of this many values one may lie off the grid before another way of writing is taken. */
const OFF_GRID_IN = 16;
/** Of this many values one may be a new one for ranks to be worth their list. */
const NEW_IN = 4;

export function gridValue({ divided, step }: Grid, multiple: number): number {
  return divided ? multiple / step : multiple * step;
}

/** The multiple that gives exactly this value; null if none does. */
export function multipleOf(grid: Grid, value: number): number | null {
  const multiple = Math.round(grid.divided ? value * grid.step : value / grid.step);
  if (!(Math.abs(multiple) <= MOST_INTEGER)) return null;
  return Object.is(gridValue(grid, multiple + 0), value) ? multiple + 0 : null;
}

/** @param resolution of the sensor, in the unit of the values */
function gridsFor(resolution: number | null): Grid[] {
  if (resolution === null || !(resolution > 0) || !Number.isFinite(resolution)) return [THOUSANDTHS];
  const parts = Math.round(1 / resolution);
  const byParts = parts >= 1 && Math.abs(1 / parts - resolution) < 1e-9 * resolution;
  return [
    { divided: false, step: resolution },
    ...(byParts ? [{ divided: true, step: parts }] : []),
    THOUSANDTHS,
  ];
}

/** The grid on which most of the values lie, and how many do not. */
export function bestGrid(
  values: Float64Array,
  resolution: number | null,
): { readonly grid: Grid; readonly off: number } {
  let best: { grid: Grid; off: number } | null = null;
  for (const grid of gridsFor(resolution)) {
    let off = 0;
    for (let i = 0; i < values.length; i++) if (multipleOf(grid, values[i] as number) === null) off++;
    if (best === null || off < best.off) best = { grid, off };
    if (off === 0) break;
  }
  return best ?? { grid: THOUSANDTHS, off: values.length };
}

export function writeGrid(sink: ByteSink, { divided, step }: Grid): void {
  sink.byte(divided ? 1 : 0);
  sink.double(step);
}

/** @throws DamagedBytes */
export function readGrid(source: ByteSource): Grid {
  const divided = source.byte() === 1;
  return { divided, step: source.double() };
}

/** @param values any doubles but NaN */
export function writeValues(sink: ByteSink, values: Float64Array, resolution: number | null): void {
  if (values.length === 0) return;
  const { grid, off } = bestGrid(values, resolution);
  if (off * OFF_GRID_IN <= values.length) {
    sink.byte(GRID);
    writeOnGrid(sink, values, grid);
    return;
  }
  const list = distinct(values);
  if (list !== null) {
    sink.byte(RANKS);
    sink.varint(list.length);
    for (const value of list) sink.double(value);
    const ranks = new Map([...list].map((value, rank) => [value, rank]));
    writeIntegers(
      sink,
      values.map((value) => ranks.get(value) as number),
    );
    return;
  }
  sink.byte(LITERAL);
  for (const value of values) sink.double(value);
}

/** @throws DamagedBytes */
export function readValues(source: ByteSource, count: number): Float64Array {
  if (count === 0) return new Float64Array(0);
  const how = source.byte();
  if (how === GRID) return readOnGrid(source, count);
  if (how === RANKS) {
    const list = readLiterals(source, source.varint());
    return readIntegers(source, count).map((rank) => {
      const value = list[rank];
      if (value === undefined) throw new DamagedBytes("A value is not in its list.");
      return value;
    });
  }
  if (how === LITERAL) return readLiterals(source, count);
  throw new DamagedBytes("Values are written in no known way.");
}

/** A value off the grid stands in the column as a repetition of the one before, and is put in from a list of its own. */
function writeOnGrid(sink: ByteSink, values: Float64Array, grid: Grid): void {
  const multiples = new Float64Array(values.length);
  const off: number[] = [];
  let last = 0;
  for (let i = 0; i < values.length; i++) {
    const multiple = multipleOf(grid, values[i] as number);
    if (multiple === null) off.push(i);
    else last = multiple;
    multiples[i] = last;
  }
  writeGrid(sink, grid);
  writeIntegers(sink, multiples);
  sink.varint(off.length);
  let after = 0;
  for (const i of off) {
    sink.varint(i - after);
    sink.double(values[i] as number);
    after = i;
  }
}

function readOnGrid(source: ByteSource, count: number): Float64Array {
  const grid = readGrid(source);
  const values = readIntegers(source, count);
  if (grid.divided) for (let i = 0; i < count; i++) values[i] = (values[i] as number) / grid.step;
  else for (let i = 0; i < count; i++) values[i] = (values[i] as number) * grid.step;
  let at = 0;
  for (let off = source.varint(); off > 0; off--) {
    at += source.varint();
    if (at >= count) throw new DamagedBytes("A value has no place.");
    values[at] = source.double();
  }
  return values;
}

function readLiterals(source: ByteSource, count: number): Float64Array {
  const values: number[] = [];
  for (let i = 0; i < count; i++) values.push(source.double());
  return Float64Array.from(values);
}

/** In rising order; null where they are too many to be worth listing, or hold a negative zero, which no Map tells from zero. */
function distinct(values: Float64Array): Float64Array | null {
  const most = Math.max(NEW_IN, values.length / NEW_IN);
  const found = new Set<number>();
  for (const value of values) {
    if (Object.is(value, -0)) return null;
    found.add(value);
    if (found.size > most) return null;
  }
  return Float64Array.from(found).sort();
}
