import type { SettingChange } from "../journal/journal.js";
import type { LoggedSettingChange } from "../journal/reader.js";
import type { Log } from "../log.js";
import type { AlarmDefinition, AlarmTransition, SuppressedState } from "../model/alarm.js";
import type { AlarmPerformance, AlarmPerformanceView } from "../model/alarm-performance.js";
import { keptAlarmSettingSchema } from "../model/alarm-schema.js";
import type { KeptAlarmSetting, KeptOutOfService, SettingHistoryEntry } from "../model/alarm-setting.js";
import type { Clock, Instant } from "../model/instant.js";
import type { Annunciation } from "../model/now.js";
import { type Kept, keptWithin } from "../trials/kept.js";
import { type Announcer, createAnnouncer } from "./announcer.js";
import { annunciation, type OutputPin } from "./annunciator.js";
import { type AlarmDesk, createAlarmDesk } from "./desk.js";
import { alarmSubject, type RecalledAlarms, SERVICE_PATH, SETTING_PATH, SHELF_PATH } from "./kept.js";
import { type AlarmSettings, createAlarmSettings } from "./settings.js";
import { shelfOf } from "./shelf.js";

const DAY_MS = 86_400_000;

export interface AlarmsParts {
  /** As station.yaml sets them. */
  readonly fromFile: readonly AlarmDefinition[];
  readonly startId: string;
  readonly clock: Clock;
  readonly leastDiskMb: number;
  readonly pin: OutputPin | null;
  readonly journal: {
    alarmTransition(transition: AlarmTransition): Promise<void>;
    settingChanged(change: SettingChange): Promise<void>;
  };
  readonly settingChanges: (query: {
    readonly subject: string;
    readonly before?: number;
    readonly limit: number;
  }) => Promise<{ readonly changes: readonly LoggedSettingChange[]; readonly more: boolean }>;
  readonly figures: (window: { readonly from: number; readonly to: number }) => Promise<AlarmPerformance>;
  /** The open run, if any. */
  readonly run: () => string | null;
  /** Tells the pages. */
  readonly tell: () => void;
  /** Tells those who are not in the shop. */
  readonly tellOutward: (transitions: readonly AlarmTransition[]) => void;
  readonly failed: (error: unknown) => void;
  readonly log: Log;
}

export interface SettingHistory {
  readonly history: readonly SettingHistoryEntry[];
  readonly more: boolean;
}

/** The alarms of a station with all that is kept of them. */
export interface Alarms extends Announcer, Pick<AlarmSettings, "definitions" | "view"> {
  readonly desk: AlarmDesk;
  annunciation(): Annunciation;
  /** Sets an alarm otherwise, at once. @throws AppError as `AlarmSettings.change` */
  set(alarm: string, set: KeptAlarmSetting["set"], why: string, by: string): Promise<Kept<unknown>>;
  /** Gives station.yaml its word back. */
  toFile(alarm: string, why: string, by: string): Promise<Kept<unknown>>;
  history(
    alarm: string,
    query: { readonly before?: number; readonly limit: number },
  ): Promise<SettingHistory>;
  /** How the alarms have done in the last days, and how they stand. */
  performance(days: number): Promise<AlarmPerformanceView>;
  /**
   * After a restart. @param late the journal answers only now: an alarm that has changed since keeps the state it is in
   */
  takeUp(transitions: readonly AlarmTransition[], recalled: RecalledAlarms, late: boolean): void;
}

export function createAlarms(parts: AlarmsParts): Alarms {
  const { clock, journal, failed, log } = parts;
  const settings = createAlarmSettings(parts.fromFile, { leastDiskMb: parts.leastDiskMb });
  const desk = createAlarmDesk(settings.definitions(), { startId: parts.startId });
  const annunciate = () => annunciation(desk, parts.pin);
  const keepPart = (
    alarm: string,
    path: string,
    value: unknown,
    at: Instant,
    by: string | null,
    old?: unknown,
  ) => journal.settingChanged({ subject: alarmSubject(alarm), path, old, new: value, at, by });
  const announcer = createAnnouncer({
    desk,
    now: () => clock.now(),
    run: parts.run,
    annunciate,
    ...{ tell: parts.tell, tellOutward: parts.tellOutward },
    keep: (transition) => journal.alarmTransition(transition),
    keepShelf: (alarm, told, now) => {
      const shelf = shelfOf(told, { now, clock: clock.state(), bootId: clock.bootId });
      return keepPart(alarm, SHELF_PATH, shelf, now, told.by);
    },
    keepOutOfService: (alarm, { reason, by }, now) => {
      const kept: KeptOutOfService = { reason, by, wall: now.wall };
      return keepPart(alarm, SERVICE_PATH, kept, now, by);
    },
    failed,
    log,
  });

  async function change(
    alarm: string,
    by: string,
    make: () => KeptAlarmSetting | null,
  ): Promise<Kept<unknown>> {
    const old = settings.kept(alarm);
    const kept = make();
    if (kept === null) return { value: null, kept: true };
    desk.redefine(settings.definitions());
    parts.tell();
    log("info", "an alarm is set otherwise", { alarm, by, changes: JSON.stringify(kept.changes) });
    return keptWithin<unknown>(keepPart(alarm, SETTING_PATH, kept, clock.now(), by, old), null);
  }

  return {
    ...announcer,
    desk,
    annunciation: annunciate,
    definitions: settings.definitions,
    view: settings.view,
    set: (alarm, set, why, by) => change(alarm, by, () => settings.change(alarm, set, why)),
    toFile: (alarm, why, by) => change(alarm, by, () => settings.toFile(alarm, why)),
    async history(alarm, query) {
      settings.view(alarm);
      const { changes, more } = await parts.settingChanges({ subject: alarmSubject(alarm), ...query });
      return { history: changes.flatMap(historyOf), more };
    },
    async performance(days) {
      const to = clock.now().wall;
      const figures = await parts.figures({ from: to - days * DAY_MS, to });
      const standing = desk.standing();
      const suppressed = desk.suppressed();
      const inState = (wanted: SuppressedState) => suppressed.filter(({ state }) => state === wanted).length;
      return {
        ...figures,
        now: {
          standing: standing.length,
          stale: standing.filter(({ stale }) => stale).length,
          chattering: standing.filter(({ chattering }) => chattering).length,
          shelved: inState("shelved"),
          outOfService: inState("out-of-service"),
          suppressedByDesign: inState("suppressed-by-design"),
        },
      };
    },
    takeUp(transitions, { settings: kept, takenUp, shelves }, late) {
      const passedOver = settings.takeUp(kept);
      for (const alarm of passedOver) {
        log("error", "how an alarm was set on the page does not go with station.yaml any more", { alarm });
      }
      desk.redefine(settings.definitions());
      const now = clock.now();
      const resting = late ? desk.restoreResting(transitions, now, takenUp) : null;
      if (resting === null) desk.restore(transitions, takenUp, now);
      // Nobody is called for it a second time: it is only kept.
      for (const again of resting?.kept ?? []) journal.alarmTransition(again).catch(failed);
      for (const [alarm, shelf] of shelves) {
        // One that was shelved anew since, or taken off, must not be put back onto its old shelf by the next start.
        if (resting !== null && !resting.alarms.has(alarm)) continue;
        keepPart(alarm, SHELF_PATH, shelf, now, null).catch(failed);
      }
    },
  };
}

/** Of all that is kept of an alarm the changes of its setting. */
function historyOf({ id, path, at, by, new: value }: LoggedSettingChange): SettingHistoryEntry[] {
  if (path !== SETTING_PATH) return [];
  const kept = keptAlarmSettingSchema.safeParse(value);
  if (!kept.success) return [];
  const { set, why, changes } = kept.data;
  return [{ id, wall: at.wall, by, why, changes, toFile: Object.keys(set).length === 0 }];
}
