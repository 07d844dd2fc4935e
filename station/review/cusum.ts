/** A tabular chart of cumulated sums over values in the order of time. */
export interface CusumChart {
  /** After each value, in its unit: how far it has gone up, and down, beyond the allowance. */
  readonly points: readonly CusumPoint[];
  readonly firstSignal: number | null;
  readonly n: number;
  readonly method: string;
}

export interface CusumPoint {
  readonly high: number;
  readonly low: number;
  readonly signals: boolean;
}

export interface CusumOptions {
  readonly target: number;
  /** Half of the change that is to be found soon, in the unit of the values: 0 or more. */
  readonly allowance: number;
  /** The sum at which it signals, in the unit of the values: above 0. */
  readonly limit: number;
}

/**
 * For a change by one standard deviation: D. C. Montgomery, Introduction to Statistical Quality Control (from memory).
 * @param limit in standard deviations; 5 are usual where target and spread are known from many values
 */
export function usualCusum(target: number, sigma: number, limit = 5): CusumOptions {
  return { target, allowance: sigma / 2, limit: limit * sigma };
}

/**
 * E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954, in the tabular form of the NIST/SEMATECH e-Handbook, 6.3.2.3 (both
 * from memory).
 * @throws RangeError for values or options that are not possible
 */
export function cusum(values: readonly number[], { target, allowance, limit }: CusumOptions): CusumChart {
  if (!values.every(Number.isFinite) || !Number.isFinite(target))
    throw new RangeError("The values and the target of a chart are numbers.");
  if (!(allowance >= 0) || !(limit > 0))
    throw new RangeError("The allowance is 0 or more, and the limit above 0.");
  let [high, low] = [0, 0];
  const points = values.map((value): CusumPoint => {
    high = Math.max(0, high + value - target - allowance);
    low = Math.max(0, low + target - allowance - value);
    return { high, low, signals: high > limit || low > limit };
  });
  const first = points.findIndex(({ signals }) => signals);
  return {
    points,
    firstSignal: first < 0 ? null : first,
    n: values.length,
    method: "tabular cumulated sums",
  };
}

/**
 * Where the change began that a sum stands for: after it last stood at 0 (the handbook, as above).
 * @param at a place among the points
 * @returns the first place since; `at` itself where the sum stands at 0 there or just before
 */
export function beganAt(points: readonly CusumPoint[], at: number, side: "high" | "low"): number {
  let from = at;
  while (from > 0 && (points[from - 1]?.[side] ?? 0) > 0) from -= 1;
  return from;
}
