/** A figure beside what it is measured against in the same run. */
export interface BenchResult {
  readonly name: string;
  readonly value: number;
  readonly baseline: number;
  /** What the baseline is. */
  readonly against: string;
  readonly unit: string;
  /** `value` over `baseline` should be at most, or at least, this. */
  readonly bound: { readonly atMost: number } | { readonly atLeast: number } | null;
}

/** The p-th quantile (0 to 1) of a sample, by the nearest rank. */
export function quantile(sample: readonly number[], p: number): number {
  const sorted = [...sample].sort((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(p * sorted.length) - 1)] ?? Number.NaN;
}
