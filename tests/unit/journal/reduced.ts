import type { Bucket } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";

/** What a series should be, in plain JavaScript, one reading after another. */
export function reduced(readings: readonly Reading[], from: number, to: number, width: number): Bucket[] {
  const held = new Map<number, Reading[]>();
  for (const reading of readings) {
    if (reading.at.wall < from || reading.at.wall >= to) continue;
    const bucket = Math.floor((reading.at.wall - from) / width);
    const known = held.get(bucket);
    if (known === undefined) held.set(bucket, [reading]);
    else known.push(reading);
  }
  return Array.from({ length: Math.ceil((to - from) / width) }, (_, i) => {
    const t = from + i * width;
    const inIt = held.get(i) ?? [];
    const values = inIt.flatMap(({ value }) => (value === null ? [] : [value]));
    const bad = inIt.filter(({ quality }) => quality === "bad").length;
    const count = values.length;
    if (count === 0) return { t, min: null, mean: null, max: null, count, bad };
    const mean = values.reduce((sum, value) => sum + value, 0) / count;
    return { t, min: Math.min(...values), mean, max: Math.max(...values), count, bad };
  });
}
