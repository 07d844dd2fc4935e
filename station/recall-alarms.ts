import { alarmSubject, type RecalledAlarms, SERVICE_PATH, SETTING_PATH, SHELF_PATH } from "./alarms/kept.js";
import { takeUpShelf } from "./alarms/shelf.js";
import type { TakenUp } from "./alarms/take-up.js";
import type { Journal } from "./journal/journal.js";
import type { JournalReader } from "./journal/reader.js";
import type { AlarmTransition } from "./model/alarm.js";
import { keptAlarmSettingSchema, keptOutOfServiceSchema, keptShelfSchema } from "./model/alarm-schema.js";
import type { KeptAlarmSetting, KeptShelf } from "./model/alarm-setting.js";

export interface RecallAlarmsParts {
  readonly journal: Pick<Journal, "lastSetting">;
  readonly reader: Pick<JournalReader, "lastReadingAt">;
  /** Ids of the alarms there are. */
  readonly alarms: readonly string[];
  readonly lastTransitions: readonly AlarmTransition[];
  /** This start of the station. */
  readonly here: { readonly mono: number; readonly bootId: string };
}

/** Asks the journal. What it has of an alarm and nobody can read counts as nothing: a shelf then ends at once. */
export async function recallAlarms(parts: RecallAlarmsParts): Promise<RecalledAlarms> {
  const { journal, reader, here } = parts;
  const settings = new Map<string, KeptAlarmSetting>();
  const takenUp = new Map<string, TakenUp>();
  const shelves = new Map<string, KeptShelf>();
  const last = new Map(parts.lastTransitions.map((transition) => [transition.alarm, transition]));
  const kept = async (alarm: string, path: string) =>
    (await journal.lastSetting(alarmSubject(alarm), path))?.value;

  for (const alarm of parts.alarms) {
    const setting = keptAlarmSettingSchema.safeParse(await kept(alarm, SETTING_PATH));
    if (setting.success) settings.set(alarm, setting.data as KeptAlarmSetting);
    const state = last.get(alarm)?.to;
    if (state === "shelved") {
      const shelf = keptShelfSchema.safeParse(await kept(alarm, SHELF_PATH));
      if (!shelf.success) continue;
      const { bootId, by, reason, wall } = shelf.data;
      const lastThere = bootId === here.bootId ? null : await reader.lastReadingAt(bootId);
      const again = takeUpShelf(shelf.data, here, lastThere?.mono ?? null);
      const { shelvedUntil, latestEndWall } = again;
      takenUp.set(alarm, { by, reason, since: { wall, mono: null }, shelvedUntil, latestEndWall });
      shelves.set(alarm, again.kept);
    } else if (state === "out-of-service") {
      const service = keptOutOfServiceSchema.safeParse(await kept(alarm, SERVICE_PATH));
      if (!service.success) continue;
      const { by, reason, wall } = service.data;
      const since = { wall, mono: null };
      takenUp.set(alarm, { by, reason, since, shelvedUntil: null, latestEndWall: null });
    }
  }
  return { settings, takenUp, shelves };
}
