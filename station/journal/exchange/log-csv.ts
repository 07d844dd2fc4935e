import type { ChannelKind, ConditionId } from "../../model/quantity.js";
import type { PlacedRun, Stamp, WindowStatistics } from "../../model/run.js";
import type { KeptTransition } from "../reader-calls.js";
import { csvRow, textCell } from "./csv.js";

/** Runs and alarms as tables for people and their spreadsheets; what is to be imported again goes as lines of JSON. */

const time = (wall: number | null) => (wall === null ? "" : new Date(wall).toISOString());
const number = (value: number | null | undefined) =>
  value === null || value === undefined ? "" : String(value);

function ofKind(stamp: Stamp | null, ...kinds: readonly ChannelKind[]): WindowStatistics | null {
  const channels = Object.values(stamp?.channels ?? {});
  for (const wanted of kinds) {
    const found = channels.find(({ kind, known }) => kind === wanted && known);
    if (found !== undefined) return found;
  }
  return null;
}

function condition(stamp: Stamp | null, id: ConditionId): WindowStatistics | null {
  return stamp?.conditions[id] ?? null;
}

/** Names end in the unit, in the words of station.yaml. Figures that are not known are empty, never 0. */
const RUN_TABLE: Readonly<Record<string, (run: PlacedRun) => string>> = {
  run: ({ number: n }) => String(n),
  start: ({ placed, startWall }) => time(placed?.startWall ?? startWall),
  end: ({ placed, endWall }) => time(placed?.endWall ?? endWall),
  // By the monotonic clock: the wall clock may have been set meanwhile.
  length_s: ({ startMono, endMono }) => number(endMono === null ? null : (endMono - startMono) / 1000),
  begun_by: ({ cause }) => cause,
  ended_by: ({ endCause }) => endCause ?? "",
  material: ({ settings }) => textCell(settings.material ?? ""),
  lot: ({ settings }) => textCell(settings.lot ?? ""),
  specimen: ({ settings }) => textCell(settings.specimen ?? ""),
  power_pct: ({ settings }) => number(settings.power_pct),
  speed_mm_s: ({ settings }) => number(settings.speed_mm_s),
  passes: ({ settings }) => number(settings.passes),
  air_assist: ({ settings }) => settings.air_assist ?? "",
  focus_spacer_mm: ({ settings }) => number(settings.focus_spacer_mm),
  note: ({ settings }) => textCell(settings.note ?? ""),
  coolant_range_low_celsius: ({ stamp }) => number(stamp?.coolantRange.low),
  coolant_range_high_celsius: ({ stamp }) => number(stamp?.coolantRange.high),
  coolant_min_celsius: ({ stamp }) => number(ofKind(stamp, "coolant-inlet", "coolant-outlet")?.min),
  coolant_mean_celsius: ({ stamp }) => number(ofKind(stamp, "coolant-inlet", "coolant-outlet")?.mean),
  coolant_sd_celsius: ({ stamp }) => number(ofKind(stamp, "coolant-inlet", "coolant-outlet")?.sd),
  coolant_max_celsius: ({ stamp }) => number(ofKind(stamp, "coolant-inlet", "coolant-outlet")?.max),
  room_mean_celsius: ({ stamp }) => number(ofKind(stamp, "room-temperature")?.mean),
  room_mean_pct_rh: ({ stamp }) => number(ofKind(stamp, "room-humidity")?.mean),
  dew_point_mean_celsius: ({ stamp }) => number(condition(stamp, "dew-point")?.mean),
  condensation_margin_min_celsius: ({ stamp }) => number(condition(stamp, "condensation-margin")?.min),
  wood_moisture_mean_pct: ({ stamp }) => number(condition(stamp, "wood-moisture")?.mean),
  hours_since_optics_cleaned: ({ stamp }) => number(stamp?.opticsHours),
  flags: ({ stamp }) => textCell((stamp?.flags ?? []).map(({ text }) => text).join(" ")),
  clock_at_start: ({ clockAtStart }) => clockAtStart,
  placed_afterwards: ({ placed }) => String(placed !== null),
  simulated: ({ simulated }) => String(simulated),
  id: ({ id }) => textCell(id),
};

export const RUN_COLUMNS: readonly string[] = Object.keys(RUN_TABLE);

export function runRow(run: PlacedRun): string {
  return csvRow(Object.values(RUN_TABLE).map((cell) => cell(run)));
}

const ALARM_TABLE: Readonly<Record<string, (transition: KeptTransition) => string>> = {
  time: ({ wall }) => time(wall),
  monotonic_ms: ({ mono }) => String(mono),
  alarm: ({ alarm }) => textCell(alarm),
  title: ({ title }) => textCell(title),
  priority: ({ priority }) => priority,
  transition: ({ transition }) => transition,
  from: ({ from }) => from,
  to: ({ to }) => to,
  detail: ({ detail }) => textCell(detail),
  run: ({ run }) => textCell(run ?? ""),
  by: ({ by }) => textCell(by ?? ""),
  id: ({ id }) => textCell(id),
};

export const ALARM_COLUMNS: readonly string[] = Object.keys(ALARM_TABLE);

export function alarmRow(transition: KeptTransition): string {
  return csvRow(Object.values(ALARM_TABLE).map((cell) => cell(transition)));
}
