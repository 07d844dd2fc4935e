import type { Bucket } from "../model/now.js";
import type { Reading } from "../model/reading.js";

/**
 * Kept by monotonic time, so that a clock that is set loses nothing of it. `ahead` is wall less monotonic time,
 * milliseconds: by it the buckets get the wall times that they have now.
 */
export interface RecentLine {
  take(reading: Reading): void;
  /** The whole line, oldest first; a bucket in which nothing could be measured has null values and draws a gap. */
  all(nowMono: number, ahead: number): readonly Bucket[];
  /** The bucket that is still filling and the one before it. */
  newest(nowMono: number, ahead: number): readonly Bucket[];
}

interface Filling {
  min: number;
  max: number;
  sum: number;
  count: number;
}

/** Min, mean and max of the last `spanMs` of one channel in buckets of `bucketMs`, kept as the readings pass. */
export function createRecentLine(options: {
  readonly bucketMs: number;
  readonly spanMs: number;
}): RecentLine {
  const { bucketMs, spanMs } = options;
  const buckets = new Map<number, Filling>();
  const startOf = (mono: number) => Math.floor(mono / bucketMs) * bucketMs;

  const forget = (nowMono: number) => {
    for (const start of buckets.keys()) if (start < startOf(nowMono) - spanMs) buckets.delete(start);
  };
  const line = (from: number, to: number, ahead: number): Bucket[] => {
    const made: Bucket[] = [];
    for (let start = from; start <= to; start += bucketMs) {
      const filled = buckets.get(start);
      const t = start + ahead;
      made.push(
        filled === undefined
          ? { t, min: null, mean: null, max: null }
          : { t, min: filled.min, mean: filled.sum / filled.count, max: filled.max },
      );
    }
    return made;
  };

  return {
    take({ at, value }) {
      if (value === null) return;
      const start = startOf(at.mono);
      const filling = buckets.get(start);
      if (filling === undefined) {
        buckets.set(start, { min: value, max: value, sum: value, count: 1 });
        forget(at.mono);
        return;
      }
      filling.min = Math.min(filling.min, value);
      filling.max = Math.max(filling.max, value);
      filling.sum += value;
      filling.count += 1;
    },
    all(nowMono, ahead) {
      forget(nowMono);
      return line(startOf(nowMono) - spanMs, startOf(nowMono), ahead);
    },
    newest: (nowMono, ahead) => line(startOf(nowMono) - bucketMs, startOf(nowMono), ahead),
  };
}
