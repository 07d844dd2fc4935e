/** Of 1 value or more. */
export function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Of the distances from the mean. */
export function sumOfSquares(values: readonly number[]): number {
  const middle = mean(values);
  return values.reduce((sum, value) => sum + (value - middle) ** 2, 0);
}

/** @returns null for no values */
export function median(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  const at = (i: number) => sorted[i] as number;
  return (at((sorted.length - 1) >> 1) + at(sorted.length >> 1)) / 2;
}

/** How far values change with the group they are in: the root of the share of the variance between the two, 0 to 1. */
export function correlationRatio(first: readonly number[], second: readonly number[]): number {
  const whole = sumOfSquares([...first, ...second]);
  const within = sumOfSquares(first) + sumOfSquares(second);
  return whole > 0 ? Math.sqrt(Math.min(1, Math.max(0, 1 - within / whole))) : 0;
}
