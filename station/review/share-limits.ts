import { normalQuantile } from "./normal.js";

/** A share with its limits, each 0 to 1. */
export interface ShareLimits {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
  readonly n: number;
}

/**
 * Wilson's score limits of a share.
 * @param hits 0 up to `n`
 * @param n 1 or more
 * @throws RangeError for other counts
 */
export function shareLimits(hits: number, n: number, confidence = 0.95): ShareLimits {
  if (!(n >= 1 && hits >= 0 && hits <= n)) {
    throw new RangeError("A share is of 1 or more, and so many of them at most.");
  }
  const z = normalQuantile((1 + confidence) / 2);
  const share = hits / n;
  const middle = (share + z ** 2 / (2 * n)) / (1 + z ** 2 / n);
  const reach = (z * Math.sqrt((share * (1 - share)) / n + z ** 2 / (4 * n ** 2))) / (1 + z ** 2 / n);
  return {
    estimate: share,
    lower: hits === 0 ? 0 : middle - reach,
    upper: hits === n ? 1 : middle + reach,
    n,
  };
}

/**
 * Of how many a thing is true at least, where it was true of all that were looked at: the exact lower limit of a share, one-sided.
 * Source: C. J. Clopper and E. S. Pearson (1934), "The use of confidence or fiducial limits illustrated in the case of the binomial",
 * Biometrika 26, 404-413.
 * @param n 1 or more
 * @returns a share, 0 to 1
 * @throws RangeError for another count
 */
export function leastShareOfAll(n: number, confidence = 0.95): number {
  if (!(n >= 1)) throw new RangeError("A share is of 1 or more.");
  return (1 - confidence) ** (1 / n);
}
