import type { StationConfig } from "./config.js";
import type { SettingChange } from "./journal/journal.js";
import type { Instant } from "./model/instant.js";

/** Under which the journal keeps the parts of the configuration. */
export const SETTINGS_SUBJECT = "station.yaml";
/** Under which it keeps for how many days readings have their full resolution; null for ever. */
export const KEEP_PATH = "journal.keep_full_resolution_days";

/** The parts that decide what a stamp, a flag or an alarm says, and what is kept. */
const KEPT = {
  coolant_range: ({ coolant_range }) => coolant_range,
  runs: ({ runs }) => runs,
  alarms: ({ alarms }) => alarms,
  channels: ({ channels }) => channels,
  [KEEP_PATH]: ({ journal }) => journal.keep_full_resolution_days ?? null,
} as const satisfies Record<string, (config: StationConfig) => unknown>;
type KeptPath = keyof typeof KEPT;

interface KeptSettings {
  lastSetting(subject: string, path: string): Promise<{ readonly value: unknown } | null>;
}

/** A part of the configuration as it was at the start before; undefined where the journal has none. */
export async function keptSetting(journal: KeptSettings, path: KeptPath): Promise<unknown> {
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
  for (const [path, of] of Object.entries(KEPT)) {
    const before = await journal.lastSetting(SETTINGS_SUBJECT, path);
    const now = of(config);
    // By way of JSON, as the journal keeps it: what JSON cannot tell apart has not changed.
    if (before !== null && JSON.stringify(before.value) === JSON.stringify(now)) continue;
    changes.push({ subject: SETTINGS_SUBJECT, path, old: before?.value, new: now, at, by: null });
  }
  return changes;
}
