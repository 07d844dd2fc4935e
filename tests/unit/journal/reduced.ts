import type { Bucket } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";

/** What a series should be, in plain JavaScript, one reading after another. */
export function reduced(readings: readonly Reading[], from: number, to: number, width: number): Bucket[] {
  const values = new Map<number, number[]>();
  for (const { at, value } of readings) {
    if (value === null || at.wall < from || at.wall >= to) continue;
    const bucket = Math.floor((at.wall - from) / width);
    values.set(bucket, [...(values.get(bucket) ?? []), value]);
  }
  return Array.from({ length: Math.ceil((to - from) / width) }, (_, i) => {
    const t = from + i * width;
    const held = values.get(i);
    if (held === undefined) return { t, min: null, mean: null, max: null };
    const mean = held.reduce((sum, value) => sum + value, 0) / held.length;
    return { t, min: Math.min(...held), mean, max: Math.max(...held) };
  });
}
