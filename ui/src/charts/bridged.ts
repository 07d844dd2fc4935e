import type { Bucket } from "../../../station/model/now.js";

export interface Point {
  x: number;
  y: number | null;
}

/**
 * The means as points of a line that breaks at every gap. Where a chart has more buckets than there were readings, some
 * stand empty between two readings; that is a gap only if the channel went stale meanwhile.
 * @param staleAfterMs how long a value holds
 */
export function meanPoints(buckets: readonly Bucket[], staleAfterMs: number): Point[] {
  const width = widthOf(buckets);
  const points: Point[] = [];
  let last: number | null = null;
  for (const { t, mean } of buckets) {
    if (mean === null) continue;
    // From the middle of one bucket to that of another the readings in them may lie a bucket nearer or further.
    if (last !== null && t - last > Math.max(staleAfterMs + width, 1.5 * width)) {
      points.push({ x: last + width, y: null });
    }
    points.push({ x: t + width / 2, y: mean });
    last = t;
  }
  return points;
}

/** Milliseconds a bucket is wide; 0 for fewer than two. */
export function widthOf(buckets: readonly Bucket[]): number {
  const [one, two] = buckets;
  return one === undefined || two === undefined ? 0 : two.t - one.t;
}
