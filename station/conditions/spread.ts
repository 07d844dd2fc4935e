/** Weighted mean and spread of what was seen so far. */
export interface Spread {
  /** Sum of the weights. */
  readonly weight: number;
  readonly mean: number;
  /** Sum of weight times squared distance from the mean. */
  readonly squares: number;
}

export const NO_SPREAD: Spread = { weight: 0, mean: 0, squares: 0 };

/**
 * With one more value of this weight (above 0). The updating formula of D. H. D. West, "Updating mean and variance
 * estimates: an improved method", Communications of the ACM 22 (1979) 532 to 535 (from memory), which keeps its digits where
 * the difference of two sums of squares loses them all: a coolant that moves by hundredths about 20.
 */
export function spreadWith({ weight, mean, squares }: Spread, value: number, of: number): Spread {
  const total = weight + of;
  const distance = value - mean;
  const step = (distance * of) / total;
  return { weight: total, mean: mean + step, squares: squares + weight * distance * step };
}

/** Of the values themselves, divided by the sum of weights; 0 of a single value, NaN of none. */
export function standardDeviation({ weight, squares }: Spread): number {
  return Math.sqrt(squares / weight);
}
