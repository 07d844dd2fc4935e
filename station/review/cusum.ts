/** A tabular chart of cumulated sums over values in the order of time. */
export interface CusumChart {
  /** After each value, in its unit: how far it has gone up, and down, beyond the allowance. */
  readonly points: readonly { readonly high: number; readonly low: number; readonly signals: boolean }[];
  readonly firstSignal: number | null;
  /** Of the first signal: which way, where the change began (a place among the values), and the mean from there up to the signal. */
  readonly change: { readonly way: "up" | "down"; readonly from: number; readonly mean: number } | null;
  readonly n: number;
  readonly method: string;
}

export interface CusumOptions {
  readonly target: number;
  /** Half of the change that is to be found soon, in the unit of the values: 0 or more. */
  readonly allowance: number;
  /** The sum at which it signals, in the unit of the values: above 0. */
  readonly limit: number;
}

/** As many standard deviations as are usual, for a change by one of them: D. C. Montgomery, Introduction to Statistical Quality Control (from memory). */
export function usualCusum(target: number, sigma: number): CusumOptions {
  return { target, allowance: sigma / 2, limit: 5 * sigma };
}

/**
 * E. S. Page, "Continuous inspection schemes", Biometrika 41, 1954, in the tabular form of the NIST/SEMATECH e-Handbook, 6.3.2.3 (both
 * from memory). Where a change began is where its sum last stood at 0.
 * @throws RangeError for values or options that are not possible
 */
export function cusum(values: readonly number[], { target, allowance, limit }: CusumOptions): CusumChart {
  if (!values.every(Number.isFinite) || !Number.isFinite(target))
    throw new RangeError("The values and the target of a chart are numbers.");
  if (!(allowance >= 0) || !(limit > 0))
    throw new RangeError("The allowance is 0 or more, and the limit above 0.");
  let [high, low] = [0, 0];
  let [highFrom, lowFrom] = [0, 0];
  let change: CusumChart["change"] = null;
  const points = values.map((value, i) => {
    if (high === 0) highFrom = i;
    if (low === 0) lowFrom = i;
    high = Math.max(0, high + value - target - allowance);
    low = Math.max(0, low + target - allowance - value);
    const signals = high > limit || low > limit;
    if (signals && change === null) {
      const way = high > limit ? "up" : "down";
      const from = way === "up" ? highFrom : lowFrom;
      const its = values.slice(from, i + 1);
      change = { way, from, mean: its.reduce((sum, each) => sum + each, 0) / its.length };
    }
    return { high, low, signals };
  });
  const first = points.findIndex(({ signals }) => signals);
  return {
    points,
    firstSignal: first < 0 ? null : first,
    change,
    n: values.length,
    method: "tabular cumulated sums",
  };
}
