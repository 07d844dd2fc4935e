/** The mean range of two values from a normal distribution in its standard deviations: 1.128, d2 of control charts. */
export const MEAN_RANGE_OF_TWO = 2 / Math.sqrt(Math.PI);

/**
 * The standard deviation of values in the order of time, from how far each is off the one before: a slow drift, or a single step, among
 * them hardly widens it (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, individuals control charts).
 * @returns in the unit of the values; null for fewer than two
 * @throws RangeError for a value that is no number
 */
export function spreadOfMovingRanges(values: readonly number[]): number | null {
  if (!values.every(Number.isFinite)) throw new RangeError("The values of a chart are numbers.");
  if (values.length < 2) return null;
  const ranges = values.slice(1).map((value, i) => Math.abs(value - (values[i] as number)));
  return ranges.reduce((sum, range) => sum + range, 0) / ranges.length / MEAN_RANGE_OF_TWO;
}
