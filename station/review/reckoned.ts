/** What every reckoning says of itself. */
export interface Reckoned {
  /** What it was made of: values, rows, pairs or counts. */
  readonly n: number;
  /** Of its limits, above 0 and below 1. */
  readonly confidence: number;
  readonly method: string;
  /** Why something is null, and what to think of the rest. */
  readonly warnings: readonly string[];
}
