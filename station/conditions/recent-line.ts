import type { Bucket } from "../model/now.js";
import type { Reading } from "../model/reading.js";

export interface RecentLine {
  take(reading: Reading): void;
  /** The whole line, oldest first; a bucket in which nothing could be measured has null values and draws a gap. */
  all(nowWall: number): readonly Bucket[];
  /** The bucket that is still filling and the one before it. */
  newest(nowWall: number): readonly Bucket[];
}

interface Filling {
  readonly t: number;
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
  const startOf = (wall: number) => Math.floor(wall / bucketMs) * bucketMs;

  const forget = (nowWall: number) => {
    for (const t of buckets.keys()) {
      // Also what lies in the future: the clock was set back, and those moments will come again.
      if (t < startOf(nowWall) - spanMs || t > nowWall + bucketMs) buckets.delete(t);
    }
  };
  const line = (fromT: number, toT: number): Bucket[] => {
    const made: Bucket[] = [];
    for (let t = fromT; t <= toT; t += bucketMs) {
      const filled = buckets.get(t);
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
      const t = startOf(at.wall);
      const filling = buckets.get(t);
      if (filling === undefined) {
        buckets.set(t, { t, min: value, max: value, sum: value, count: 1 });
        forget(at.wall);
        return;
      }
      filling.min = Math.min(filling.min, value);
      filling.max = Math.max(filling.max, value);
      filling.sum += value;
      filling.count += 1;
    },
    all(nowWall) {
      forget(nowWall);
      return line(startOf(nowWall) - spanMs, startOf(nowWall));
    },
    newest: (nowWall) => line(startOf(nowWall) - bucketMs, startOf(nowWall)),
  };
}
