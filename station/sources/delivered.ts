import { setTimeout as pauseFor } from "node:timers/promises";

/** How often it is looked whether the loop runs, milliseconds. */
const STEP_MS = 50;
/** Steps beyond the lateness: by the second of two timers that fired one after the other, every timer due has had its turn. */
const MORE_STEPS = 2;

export interface DeliveredParts {
  /** Longest that a source may keep a reading back before it hands it over, milliseconds, on a loop that is not held up. */
  readonly latestMs: number;
  /** Monotonic milliseconds. */
  readonly mono: () => number;
  /** Resolves after so many milliseconds, or later where the loop is held up. */
  readonly pause?: (ms: number) => Promise<unknown>;
}

/**
 * A promise of the moment by which every source has handed over what it read before the call. The lateness is waited for in
 * small steps, of each of which no more counts than it was to take: while the loop is held up no source can hand anything
 * over, and what that time has kept back comes in between two steps.
 */
export function createDelivered({ latestMs, mono, pause = pauseFor }: DeliveredParts): () => Promise<void> {
  return async () => {
    const enough = latestMs + MORE_STEPS * STEP_MS;
    for (let lived = 0; lived < enough; ) {
      const from = mono();
      await pause(STEP_MS);
      lived += Math.min(STEP_MS, mono() - from);
    }
  };
}
