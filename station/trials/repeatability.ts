export interface Repeatability {
  /** Standard deviation of one measurement, within specimens; null without a specimen that was measured twice. */
  readonly sd: number | null;
  /** Two measurements of one specimen differ by more than this in one case of twenty; null as `sd`. */
  readonly limit: number | null;
  /** Degrees of freedom: measurements less specimens. */
  readonly freedom: number;
}

/** ISO 5725-6 (from memory): 1.96 times the square root of 2, rounded. */
const LIMIT_OF_SD = 2.8;

/**
 * How far a measurement agrees with itself: the variance within each specimen, pooled over all.
 * @param specimens the measurements of each; those with fewer than two tell nothing
 */
export function repeatability(specimens: readonly (readonly number[])[]): Repeatability {
  let squares = 0;
  let freedom = 0;
  for (const values of specimens) {
    if (values.length < 2) continue;
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    for (const value of values) squares += (value - mean) ** 2;
    freedom += values.length - 1;
  }
  if (freedom === 0) return { sd: null, limit: null, freedom };
  const sd = Math.sqrt(squares / freedom);
  return { sd, limit: LIMIT_OF_SD * sd, freedom };
}
