import type { Bucket } from "../../../station/model/now.js";

/** Span of the line on the page Now. */
export const LINE_MS = 10 * 60_000;

/** Held buckets with the changed ones put in their place by time, and those older than ten minutes dropped. */
export function mergeLine(
  held: readonly Bucket[],
  changed: readonly Bucket[],
  wall: number,
): readonly Bucket[] {
  const byTime = new Map(held.map((bucket) => [bucket.t, bucket]));
  for (const bucket of changed) byTime.set(bucket.t, bucket);
  return [...byTime.values()].filter((bucket) => bucket.t >= wall - LINE_MS).sort((a, b) => a.t - b.t);
}
