import type { StationConfig } from "./config.js";
import type { SettingChange } from "./journal/journal.js";
import type { Instant } from "./model/instant.js";

/** Under which the journal keeps the parts of the configuration. */
export const SETTINGS_SUBJECT = "station.yaml";
/** The parts that decide what a stamp, a flag or an alarm says. */
const KEPT = [
  "coolant_range",
  "runs",
  "alarms",
  "channels",
] as const satisfies readonly (keyof StationConfig)[];

interface KeptSettings {
  lastSetting(subject: string, path: string): Promise<{ readonly value: unknown } | null>;
}

/** A part of the configuration as it was at the start before; undefined where the journal has none. */
export async function keptSetting(journal: KeptSettings, path: (typeof KEPT)[number]): Promise<unknown> {
  return (await journal.lastSetting(SETTINGS_SUBJECT, path))?.value;
}

/**
 * What has changed in the configuration since the start before, so that a reader of the journal can tell from when on a
 * run was judged otherwise. The first start of a journal keeps them all, with nothing for the old ones.
 */
export async function settingsSince(
  journal: KeptSettings,
  config: StationConfig,
  at: Instant,
): Promise<SettingChange[]> {
  const changes: SettingChange[] = [];
  for (const path of KEPT) {
    const before = await journal.lastSetting(SETTINGS_SUBJECT, path);
    // By way of JSON, as the journal keeps it: what JSON cannot tell apart has not changed.
    if (before !== null && JSON.stringify(before.value) === JSON.stringify(config[path])) continue;
    changes.push({ subject: SETTINGS_SUBJECT, path, old: before?.value, new: config[path], at, by: null });
  }
  return changes;
}
