import { studentTails } from "./tails.js";
import { type MeanDifference, meanDifference } from "./welch.js";

/** Whether two lots may be taken for the same within a margin. */
export interface Equivalence {
  /** The second less the first, as `meanDifference` has it, with its limits at twice the level that is spent. */
  readonly difference: MeanDifference;
  /** The larger of the two one-sided p; null where the samples do not allow any. */
  readonly p: number | null;
  /** Null where it cannot be told. */
  readonly equivalent: boolean | null;
  readonly margin: number;
  readonly level: number;
  readonly method: string;
  readonly warnings: readonly string[];
}

/**
 * Two one-sided tests: D. J. Schuirmann, "A comparison of the two one-sided tests procedure and the power approach for assessing
 * the equivalence of average bioavailability", Journal of Pharmacokinetics and Biopharmaceutics 15, 1987 (from memory), with
 * Welch's errors. Of values that are compared by their ratio it is given logarithms.
 * @param margin the largest difference that would not matter, above 0, in the unit of the values
 * @throws RangeError for another margin or level, and as `meanDifference`
 */
export function equivalence(
  first: readonly number[],
  second: readonly number[],
  margin: number,
  level = 0.05,
): Equivalence {
  if (!(margin > 0 && Number.isFinite(margin))) throw new RangeError("The margin is above 0.");
  if (!(level > 0 && level < 0.5)) throw new RangeError("The level is above 0 and below 0.5.");
  const difference = meanDifference(first, second, 1 - 2 * level);
  const { estimate, error, freedom, warnings } = difference;
  const about = {
    difference,
    margin,
    level,
    method: `two one-sided tests by ${difference.method}`,
    warnings,
  };
  if (estimate === null || error === null || freedom === null) return { p: null, equivalent: null, ...about };
  // How often, were it as far off as the margin, it would be found so far inside it.
  const oneSided = (inside: number) => {
    const half = studentTails(inside / error, freedom) / 2;
    return inside > 0 ? half : 1 - half;
  };
  const p = Math.max(oneSided(margin - estimate), oneSided(margin + estimate));
  return { p, equivalent: p <= level, ...about };
}
