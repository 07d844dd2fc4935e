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
