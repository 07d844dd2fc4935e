import type { Bucket } from "../../../station/model/now.js";
import { widthOf } from "../charts/bridged.js";
import type { Trace } from "../charts/panel-spec.js";
import { numberText, shownDecimals, stateWord, withUnit } from "../words/number.js";
import type { Panel } from "./panels.js";

/**
 * What holds at a moment: of the buckets with a value the one in which it lies, or the last before it as long as a value
 * holds; null in a gap.
 */
export function bucketAt({ buckets, staleAfterMs }: Trace, wall: number): Bucket | null {
  const width = widthOf(buckets);
  const first = buckets[0];
  if (first === undefined || width === 0) return null;
  const place = Math.floor((wall - first.t) / width);
  for (let i = Math.min(place, buckets.length - 1); i >= 0; i -= 1) {
    const bucket = buckets[i];
    if (bucket === undefined || wall - bucket.t - width > staleAfterMs) return null;
    if (bucket.mean !== null) return bucket;
  }
  return null;
}

/** A channel of a panel at a moment in words: "18.3 °C", or "18.4 °C (17.9 to 19.0 °C)" of a bucket. */
export function readOff(panel: Panel, place: number, trace: Trace, wall: number): string {
  const channel = panel.channels[place];
  const bucket = bucketAt(trace, wall);
  if (channel === undefined || bucket === null) return "no reading";
  const { min, mean, max } = bucket;
  if (min === null || mean === null || max === null) return "no reading";
  if (panel.state) {
    return min === max
      ? stateWord(channel.kind, min)
      : `${stateWord(channel.kind, 0)} and ${stateWord(channel.kind, 1)}`;
  }
  const decimals = shownDecimals(panel.unit, channel.decimals);
  const text = (value: number) => withUnit(value, decimals, panel.unit);
  if (text(min) === text(max)) return text(mean);
  return `${text(mean)} (${numberText(min, decimals)} to ${text(max)})`;
}
