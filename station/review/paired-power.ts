import { normalQuantile } from "./normal.js";
import { attainedLevel } from "./paired.js";
import { type Power, smallestShift, USUAL_POWER } from "./student.js";

/**
 * So many pairs of Student's test do what one of Wilcoxon's does where the spread is normal: 3/π (E. J. G. Pitman's efficiency, as in
 * M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods; from memory).
 */
const EFFICIENCY = 3 / Math.PI;

/**
 * The smallest difference between two lots that pairs find so often by `pairedDifference`, where the spread of the pieces is normal.
 * An approximation: Student's test at the level that the signed ranks attain, with the pairs that it would need for as much. Held
 * against drawn samples in the tests.
 * @param pairs 1 or more
 * @returns in standard deviations between pieces of one lot at one setting; null where so few pairs never find any
 */
export function smallestPairedDeviations(
  pairs: number,
  { power, level }: Power = USUAL_POWER,
): number | null {
  const attained = attainedLevel(pairs, level);
  if (attained === 0) return null;
  // Only where all of them differ the same way: the chance of that is no approximation.
  if (attained === 2 ** (1 - pairs)) return Math.SQRT2 * normalQuantile(power ** (1 / pairs));
  // The difference of two pieces has twice their variance.
  const errors = Math.sqrt((pairs * EFFICIENCY) / 2);
  return smallestShift(pairs - 1, errors, { power, level: attained });
}
