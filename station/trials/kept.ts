import { setImmediate as nextTurn, setTimeout as pause } from "node:timers/promises";

/** What was done, and whether it is on the disk already. */
export interface Kept<T> {
  readonly value: T;
  readonly kept: boolean;
}

/** Longest that a person waits for the disk before being told that it is done but not kept yet. */
const ANSWER_WITHIN_MS = 2_000;

/**
 * Waits a little for `keeping`. While the disk is stuck the answer is `provisional`, not kept: the thing is done, and will be
 * kept once the disk lets it. @throws what `keeping` rejects with in that time
 */
export async function keptWithin<T>(
  keeping: Promise<T>,
  provisional: T,
  withinMs: number = ANSWER_WITHIN_MS,
): Promise<Kept<T>> {
  const late = new AbortController();
  try {
    return await Promise.race([
      keeping.then((value) => ({ value, kept: true })),
      // Where the station itself stood still, the answer may be there and only wait for its turn.
      pause(withinMs, null, { signal: late.signal })
        .then(() => nextTurn())
        .then(() => ({ value: provisional, kept: false })),
    ]);
  } finally {
    late.abort();
  }
}
