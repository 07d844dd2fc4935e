import type { Limited } from "../model/limited.js";

/** Two estimates that are known together, normal or nearly so. */
export interface PairOfEstimates {
  readonly of: number;
  readonly over: number;
  readonly ofVariance: number;
  readonly overVariance: number;
  readonly covariance: number;
}

/**
 * Limits of the ratio of two estimates: those ratios r for which the first less r times the second is not told from 0 (E. C. Fieller,
 * "Some problems in interval estimation", Journal of the Royal Statistical Society B 16, 1954; from memory).
 * @param deviation standard normal deviations, above 0: 1.96 for limits of 95 %
 * @returns no limits where the second is not told from 0, so that the ratio has no end
 * @throws RangeError for variances that are none
 */
export function fieller(
  { of, over, ofVariance, overVariance, covariance }: PairOfEstimates,
  deviation: number,
): Limited {
  if (!(ofVariance >= 0 && overVariance >= 0 && covariance ** 2 <= ofVariance * overVariance * (1 + 1e-9)))
    throw new RangeError("Variances are 0 or more, and a covariance no more than their mean.");
  if (!(deviation > 0)) throw new RangeError("The deviation of limits is above 0.");
  const z = deviation ** 2;
  const a = over ** 2 - z * overVariance;
  const b = of * over - z * covariance;
  const c = of ** 2 - z * ofVariance;
  const root = b ** 2 - a * c;
  if (!(a > 0) || !(root >= 0)) return { estimate: over === 0 ? null : of / over, lower: null, upper: null };
  return { estimate: of / over, lower: (b - Math.sqrt(root)) / a, upper: (b + Math.sqrt(root)) / a };
}
