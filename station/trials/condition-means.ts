import type { PastCondition } from "../model/past-run.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Stamp } from "../model/run.js";

/** Which channel of a stamp a condition is the mean of. */
const KINDS = {
  coolant_C: "coolant-inlet",
  room_C: "room-temperature",
  humidity_pct: "room-humidity",
  airflow_1_min: "extraction-speed",
} as const satisfies Partial<Record<PastCondition, ChannelKind>>;
export type MeasuredCondition = keyof typeof KINDS;
export const MEASURED_CONDITIONS = Object.keys(KINDS) as readonly MeasuredCondition[];

/** The mean over the run of the first channel of the condition's kind that is known; null where none is. */
export function conditionMean(stamp: Stamp | null, condition: MeasuredCondition): number | null {
  const channels = Object.values(stamp?.channels ?? {});
  return channels.find((each) => each.kind === KINDS[condition] && each.known)?.mean ?? null;
}
