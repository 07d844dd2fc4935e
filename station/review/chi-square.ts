import { normalBelow, normalDensity } from "./normal.js";

/**
 * The share of chi-square above a value: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5.
 * @param value 0 or more
 * @param freedom degrees of freedom, a whole number of 1 or more
 * @throws RangeError for others
 */
export function chiSquareAbove(value: number, freedom: number): number {
  if (!(Number.isInteger(freedom) && freedom >= 1)) {
    throw new RangeError("Chi-square has a whole number of degrees of freedom, 1 or more.");
  }
  if (!(value >= 0)) throw new RangeError("Chi-square is 0 or more.");
  if (value === Number.POSITIVE_INFINITY) return 0;
  const root = Math.sqrt(value);
  const odd = freedom % 2 === 1;
  // Each term is the one before it times the value over 2, 4, 6 and on, or over 3, 5, 7; as logarithms, for e^-value may be nil.
  let log = odd ? Math.log(root) : 0;
  let sum = 0;
  for (let k = odd ? 1 : 0; k < freedom - 1; k += 2) {
    if (value > 0 || k === 0) sum += Math.exp(log - value / 2);
    log += Math.log(value) - Math.log(k + 2);
  }
  if (!odd) return Math.min(1, sum);
  return Math.min(1, 2 * normalBelow(-root) + 2 * normalDensity(0) * sum);
}
