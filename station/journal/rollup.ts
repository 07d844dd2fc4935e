/**
 * The widths, milliseconds: the cost of a chart is the number of rollups it is drawn from. A minute serves the charts of
 * half a day to some days, a quarter of an hour those of weeks to a season, two hours those of a year, a day those of ten;
 * below, the readings themselves are few enough.
 */
export const MINUTE_MS = 60_000;
export const QUARTER_MS = 15 * MINUTE_MS;
export const TWO_HOURS_MS = 120 * MINUTE_MS;
export const DAY_MS = 24 * 60 * MINUTE_MS;
/** Those kept in pages, for sealed readings; each a multiple of the one before. */
export const PAGED_WIDTHS = [QUARTER_MS, TWO_HOURS_MS, DAY_MS] as const;

/** Rollups in a page: their bytes fill a page of SQLite's and need no second one. */
export const PAGE_ROLLUPS = 120;

/** What is kept of the readings between `place * width` and `(place + 1) * width` by the wall clock. */
export interface Rollup {
  readonly place: number;
  /** Infinity and -Infinity where no reading has a value. */
  min: number;
  max: number;
  sum: number;
  /** Readings with a value. */
  count: number;
  /** Readings of bad quality. */
  bad: number;
}

/** The same of many, as columns: a chart is drawn from tens of thousands. */
export interface RollupColumns {
  readonly place: Float64Array;
  readonly min: Float64Array;
  readonly max: Float64Array;
  readonly sum: Float64Array;
  readonly count: Float64Array | Uint32Array;
  readonly bad: Float64Array | Uint32Array;
}

export function rollupsOf({ place, min, max, sum, count, bad }: RollupColumns): Rollup[] {
  return Array.from(place, (at, i) => ({
    place: at,
    min: min[i] as number,
    max: max[i] as number,
    sum: sum[i] as number,
    count: count[i] as number,
    bad: bad[i] as number,
  }));
}

export function emptyRollup(place: number): Rollup {
  return {
    place,
    min: Number.POSITIVE_INFINITY,
    max: Number.NEGATIVE_INFINITY,
    sum: 0,
    count: 0,
    bad: 0,
  };
}

/** @param value NaN where there is none */
export function takeReading(into: Rollup, value: number, bad: boolean): void {
  if (bad) into.bad++;
  if (Number.isNaN(value)) return;
  if (value < into.min) into.min = value;
  if (value > into.max) into.max = value;
  into.sum += value;
  into.count++;
}

export function takeRollup(into: Rollup, { min, max, sum, count, bad }: Rollup): void {
  if (min < into.min) into.min = min;
  if (max > into.max) into.max = max;
  into.sum += sum;
  into.count += count;
  into.bad += bad;
}

/** The rollups of wider places, in rising order. */
export function widened(rollups: readonly Rollup[], from: number, to: number): Rollup[] {
  const wide = new Map<number, Rollup>();
  for (const rollup of rollups) takeRollup(at(wide, Math.floor((rollup.place * from) / to)), rollup);
  return inOrder(wide);
}

export function at(rollups: Map<number, Rollup>, place: number): Rollup {
  let found = rollups.get(place);
  if (found === undefined) {
    found = emptyRollup(place);
    rollups.set(place, found);
  }
  return found;
}

export function inOrder(rollups: ReadonlyMap<number, Rollup>): Rollup[] {
  return [...rollups.values()].sort((a, b) => a.place - b.place);
}

export function pageOf(place: number): number {
  return Math.floor(place / PAGE_ROLLUPS);
}
