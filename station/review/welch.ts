import type { Reckoned } from "./reckoned.js";
import { studentQuantile } from "./student.js";
import { studentTails } from "./tails.js";

/** How the means of two samples differ, whatever the spread of each. */
export interface MeanDifference extends Reckoned {
  /** The second less the first, in the unit of the values; null where a sample is empty. */
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly p: number | null;
  /** Standard error of the difference, and its degrees of freedom; null where a sample has fewer than two. */
  readonly error: number | null;
  readonly freedom: number | null;
}

const METHOD = "Welch's t-test, degrees of freedom after Satterthwaite";
const FEW = 5;

/**
 * B. L. Welch, "The generalization of Student's problem when several different population variances are involved", Biometrika 34,
 * 1947 (from memory).
 * @param confidence above 0 and below 1
 * @throws RangeError for a value that is no number
 */
export function meanDifference(
  first: readonly number[],
  second: readonly number[],
  confidence = 0.95,
): MeanDifference {
  if (![...first, ...second].every(Number.isFinite))
    throw new RangeError("The values of samples are numbers.");
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  const [a, b] = [spreadOf(first), spreadOf(second)];
  const about = { n: a.n + b.n, confidence, method: METHOD };
  const none = { lower: null, upper: null, p: null, error: null, freedom: null };
  if (a.n === 0 || b.n === 0)
    return { estimate: null, ...none, ...about, warnings: ["One of the two has no values."] };
  const estimate = b.mean - a.mean;
  if (a.n < 2 || b.n < 2)
    return {
      estimate,
      ...none,
      ...about,
      warnings: ["One value shows no spread: two of each are the fewest."],
    };
  const [own, other] = [a.variance / a.n, b.variance / b.n];
  const error = Math.sqrt(own + other);
  if (!(error > 0))
    return {
      estimate,
      ...none,
      error: 0,
      ...about,
      warnings: ["The values of each are all alike: there is no spread to judge by."],
    };
  // By shares, which neither overflow nor vanish.
  const share = own / (own + other);
  const freedom = 1 / (share ** 2 / (a.n - 1) + (1 - share) ** 2 / (b.n - 1));
  const reach = studentQuantile((1 + confidence) / 2, freedom) * error;
  return {
    estimate,
    lower: estimate - reach,
    upper: estimate + reach,
    p: studentTails(estimate / error, freedom),
    error,
    freedom,
    ...about,
    warnings:
      Math.min(a.n, b.n) < FEW ? [`Of ${Math.min(a.n, b.n)} values the spread is all but a guess.`] : [],
  };
}

function spreadOf(values: readonly number[]): { n: number; mean: number; variance: number } {
  const n = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  // Of values that are all alike the mean may be off by rounding, which is no spread.
  const alike = values.every((value) => value === values[0]);
  const squares = alike ? 0 : values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { n, mean, variance: squares / (n - 1) };
}
