import {
  type ByteSink,
  type ByteSource,
  DamagedBytes,
  MOST_INTEGER,
  unzigzag,
  zigzag,
} from "./byte-stream.js";

/**
 * A column of numbers, most of which follow from the one before. What is written is how far each differs from the step
 * expected; where none does, as with readings at a regular interval, a column of any length takes a dozen bytes.
 *
 * Runs of zeros are counted in bijective base 2 with the two symbols `ONE` and `TWO` (as bzip2 does before its Huffman
 * stage): a single zero costs no more than it would by itself, and n of them log2 n symbols.
 */
const ONE = 0;
const TWO = 1;

/** How a column is written. */
const LITERAL = 0;
/** Against a constant step from its neighbour: deviations that add up, as of a clock that drifts. */
const STEPS = 1;
/** Against a straight line from its first number: deviations that do not, as of a timer that keeps to its schedule. */
const LINE = 2;

const STEPS_LOOKED_AT = 129;

export function writeResiduals(sink: ByteSink, residuals: Float64Array): void {
  let zeros = 0;
  const writeZeros = () => {
    for (; zeros > 0; zeros = (zeros - (zeros % 2 === 1 ? 1 : 2)) / 2) sink.byte(zeros % 2 === 1 ? ONE : TWO);
  };
  for (let i = 0; i < residuals.length; i++) {
    const residual = residuals[i] as number;
    if (residual === 0) {
      zeros++;
      continue;
    }
    writeZeros();
    // Zigzag is 1 or more here, so that the bytes 0 and 1 by themselves are free for the runs.
    sink.varint(zigzag(residual) + 1);
  }
  writeZeros();
}

/** @throws DamagedBytes */
export function readResiduals(source: ByteSource, count: number): Float64Array {
  const residuals = new Float64Array(count);
  fillResiduals(source, residuals, 0);
  return residuals;
}

/** From a place on, where there are zeros. */
function fillResiduals(source: ByteSource, residuals: Float64Array, from: number): void {
  const count = residuals.length;
  let i = from;
  let digit = 1;
  while (i < count) {
    const first = source.byte();
    if (first === ONE || first === TWO) {
      i += first === ONE ? digit : 2 * digit;
      digit *= 2;
      continue;
    }
    digit = 1;
    residuals[i++] = unzigzag((first < 128 ? first : source.varintFrom(first)) - 1);
  }
  if (i > count) throw new DamagedBytes("A run of numbers is longer than its column.");
}

/** Any numbers, NaN too; as differences where all are whole and no larger than MOST_INTEGER. */
export function writeIntegers(sink: ByteSink, column: Float64Array): void {
  if (column.length === 0) return;
  if (!areSmallIntegers(column)) {
    sink.byte(LITERAL);
    for (const value of column) sink.double(value);
    return;
  }
  const first = column[0] as number;
  const step = middleStep(column);
  const line = lineResiduals(column, step);
  const steps = stepResiduals(column, step);
  const straight = cost(line) < cost(steps);
  sink.byte(straight ? LINE : STEPS);
  sink.signed(first);
  sink.signed(step);
  writeResiduals(sink, straight ? line : steps);
}

/**
 * @param column where they go, `count` zeros. A chart of days reads thousands of columns of sixty, and
 * making room for each by itself took longer than reading them.
 * @throws DamagedBytes
 */
export function readIntegers(
  source: ByteSource,
  count: number,
  column: Float64Array = new Float64Array(count),
): Float64Array {
  if (count === 0) return column;
  const how = source.byte();
  if (how === LITERAL) {
    for (let i = 0; i < count; i++) column[i] = source.double();
    return column;
  }
  if (how !== STEPS && how !== LINE) throw new DamagedBytes("A column is written in no known way.");
  const first = source.signed();
  const step = source.signed();
  fillResiduals(source, column, 1);
  column[0] = first;
  if (how === LINE) {
    for (let i = 1; i < count; i++) column[i] = first + i * step + (column[i] as number);
    return column;
  }
  let value = first;
  for (let i = 1; i < count; i++) {
    value += step + (column[i] as number);
    column[i] = value;
  }
  return column;
}

/** Negative zero is no whole number here: it would come back as zero. A loop, for a callback takes ten times as long. */
function areSmallIntegers(column: Float64Array): boolean {
  for (let i = 0; i < column.length; i++) {
    const value = column[i] as number;
    if (!(Math.abs(value) <= MOST_INTEGER && Math.floor(value) === value)) return false;
    if (value === 0 && Object.is(value, -0)) return false;
  }
  return true;
}

/** Of some of the steps, spread over the column: any step is right, and the usual one makes it small. */
function middleStep(column: Float64Array): number {
  const count = column.length - 1;
  const looked = Math.min(count, STEPS_LOOKED_AT);
  const steps = new Float64Array(looked);
  for (let i = 0; i < looked; i++) {
    const place = Math.floor((i * count) / looked);
    steps[i] = (column[place + 1] as number) - (column[place] as number);
  }
  return steps.sort()[looked >> 1] ?? 0;
}

function stepResiduals(column: Float64Array, step: number): Float64Array {
  const residuals = new Float64Array(column.length - 1);
  for (let i = 1; i < column.length; i++) {
    residuals[i - 1] = (column[i] as number) - (column[i - 1] as number) - step;
  }
  return residuals;
}

function lineResiduals(column: Float64Array, step: number): Float64Array {
  const residuals = new Float64Array(column.length - 1);
  const first = column[0] as number;
  for (let i = 1; i < column.length; i++) residuals[i - 1] = (column[i] as number) - first - i * step;
  return residuals;
}

function bitsOf(value: number): number {
  return value < 2 ** 31 ? 32 - Math.clz32(value) : Math.log2(value);
}

/** About how many bits they take; infinite where they would not be exact. */
function cost(residuals: Float64Array): number {
  let bits = 0;
  for (let i = 0; i < residuals.length; i++) {
    const size = Math.abs(residuals[i] as number);
    if (size > 4 * MOST_INTEGER) return Number.POSITIVE_INFINITY;
    if (size !== 0) bits += 1 + bitsOf(size);
  }
  return bits;
}
