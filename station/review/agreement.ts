/** How far two gradings of the same specimens agree, beyond what chance alone would give. */
export interface Agreement {
  /** 1 for full agreement, 0 for as much as chance gives; below 0 for less. Null where it is not defined. */
  readonly kappa: number | null;
  /** Specimens that were graded twice. */
  readonly n: number;
  /** The share of them that got the same grade both times, 0 to 1; null for none. */
  readonly same: number | null;
}

/** How grave it is to give one grade for another: 0 on the diagonal, above 0 elsewhere. */
export type Disagreement = (first: number, second: number) => number;

/** Two steps apart are twice as grave as one. */
export const bySteps: Disagreement = (first, second) => Math.abs(first - second);

/**
 * Cohen's weighted kappa: 1 less the disagreement there is over that which the two gradings would have if they had nothing to do
 * with each other (J. Cohen, "Weighted kappa", Psychological Bulletin 70, 1968, pp. 213 to 220; from memory).
 * @param pairs the two grades of each specimen, whole numbers from 0 up, in the order of the rubric
 * @returns kappa null where chance alone leaves no disagreement, as when every specimen has the same grade
 */
export function weightedKappa(
  pairs: readonly (readonly [first: number, second: number])[],
  disagreement: Disagreement = bySteps,
): Agreement {
  const n = pairs.length;
  if (n === 0) return { kappa: null, n, same: null };
  const same = pairs.filter(([first, second]) => first === second).length / n;
  let seen = 0;
  let byChance = 0;
  for (const [first, second] of pairs) {
    seen += disagreement(first, second) / n;
    // Every first grade beside every second one, whichever specimen it was of.
    for (const [, other] of pairs) byChance += disagreement(first, other) / n ** 2;
  }
  return { kappa: byChance === 0 ? null : 1 - seen / byChance, n, same };
}
