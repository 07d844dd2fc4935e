import { CHANNEL_KINDS, type ChannelKind, type Unit } from "../../model/quantity.js";

/** What the bench reports. Each point bears the name of the kind of channel it feeds. */
export const BENCH_POINTS = [
  "coolant-inlet",
  "coolant-outlet",
  "coolant-flow",
  "coolant-flowing",
  "room-temperature",
  "room-humidity",
  "extraction-airflow",
  "extraction-speed",
  "extraction-running",
  "laser-on",
  "lid-open",
  "filter-pressure",
] as const satisfies readonly ChannelKind[];

export type BenchPoint = (typeof BENCH_POINTS)[number];

/** The unit the bench reports a point in: that of its kind. */
export function unitOf(point: BenchPoint): Unit {
  return CHANNEL_KINDS[point].unit;
}

/** A contact, 1 or 0, whose every change is reported at once. */
export function isState(point: BenchPoint): boolean {
  return CHANNEL_KINDS[point].form === "state";
}
