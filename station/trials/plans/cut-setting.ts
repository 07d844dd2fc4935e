import type { RunRow } from "../../model/now.js";
import type { SpecimenSetting, SpecimenView } from "../../model/specimen.js";

/** What a specimen is cut with, in the order in which it is said; with its word and its unit. */
const SETTINGS = [
  ["speed_mm_s", "speed", "mm/s"],
  ["power_pct", "power", "%"],
  ["passes", "passes", ""],
  ["focus_spacer_mm", "spacer", "mm"],
  ["air_assist", "air assist", ""],
] as const;

/** What a specimen counts at: what it was cut with, or what was planned where that is not known. */
export function settingOf({ setting, cutWith }: Pick<SpecimenView, "setting" | "cutWith">): SpecimenSetting {
  return cutWith ?? setting;
}

/**
 * Whether it was cut as planned. What was not planned is not kept alike by the plan.
 * @param varied by the plan: it may be another than planned
 */
export function isAlike(
  planned: SpecimenSetting,
  cut: SpecimenSetting,
  varied: keyof SpecimenSetting,
): boolean {
  return SETTINGS.every(([key]) => key === varied || planned[key] === undefined || planned[key] === cut[key]);
}

/** As the runs of a specimen have it; null for none, or of different settings. What was not entered for a run is taken to be as planned. */
export function cutWith(planned: SpecimenSetting, runs: readonly RunRow[]): SpecimenSetting | null {
  const [first, ...others] = runs.map(({ settings }): SpecimenSetting => {
    const entered = SETTINGS.flatMap(([key]) => (settings[key] === undefined ? [] : [[key, settings[key]]]));
    return { ...planned, ...Object.fromEntries(entered) };
  });
  if (first === undefined) return null;
  return others.every((other) => SETTINGS.every(([key]) => other[key] === first[key])) ? first : null;
}

/** In what a run was cut otherwise than planned. What was not entered for the run is not known to be otherwise. */
export function otherwise(planned: SpecimenSetting, { settings }: RunRow): string[] {
  return SETTINGS.flatMap(([key, word, unit]) => {
    const [wanted, was] = [planned[key], settings[key]];
    if (wanted === undefined || was === undefined || wanted === was) return [];
    const of = (value: number | string) => (unit === "" ? `${value}` : `${value} ${unit}`);
    return [`${word} ${of(was)} where ${of(wanted)} was planned`];
  });
}
