import type { AlarmTransition } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunSettings } from "../model/run.js";
import { type JournalTuning, startDelivery, TUNING } from "./delivery.js";
import type { JournalHealth } from "./health.js";
import type {
  Action,
  ActionMap,
  ActionName,
  KeptSetting,
  Maintained,
  Maintenance,
  SessionStart,
  SettingChange,
} from "./protocol.js";

export type { JournalHealth } from "./health.js";
export type { Maintained, Maintenance, SessionStart, SettingChange } from "./protocol.js";

/**
 * The writing side of the journal, on the main thread. What is asked is carried out in the order it was asked. A promise
 * resolves once the thing is on the disk (synchronous=FULL), which may take as long as the disk does or, while the disk
 * is full or locked, until it is not: whoever must not wait does not await. All reject with AppError "journal-closed"
 * once the journal is closed.
 */
export interface Journal {
  /** Number of this start of the station. */
  readonly session: number;
  /** Keeps what each channel is, where that has changed. */
  channelsDefined(definitions: readonly ChannelDefinition[]): Promise<void>;
  /** Takes readings in; never waits and never throws. After `close` they are only counted as dropped. */
  readings(batch: readonly Reading[]): void;
  /** Resolves once all readings given so far are on the disk. */
  flush(): Promise<void>;
  /** Keeps a new run and gives it its number, whatever number it came with. A run that is there already is answered as it is. */
  runBegun(run: Run): Promise<Run>;
  /**
   * Keeps the end of a run and its stamp, which are frozen from then on. The settings stay as last recorded.
   * @throws AppError "run-unknown"; "run-not-open" if it has been ended before; "request-invalid" without end or stamp
   */
  runEnded(run: Run): Promise<void>;
  /**
   * Keeps a run's settings, and a change of setting for each that differs. Also possible after its end.
   * @throws AppError "run-unknown"
   */
  runSettingsChanged(id: string, settings: RunSettings, at: Instant, by: string | null): Promise<void>;
  /** Runs without an end, lowest number first: after a power cut, those that were open. */
  openRuns(): Promise<Run[]>;
  /** A transition whose id is there already is kept once. */
  alarmTransition(transition: AlarmTransition): Promise<void>;
  /** The latest transition of every alarm there has been, oldest first. */
  lastAlarmStates(): Promise<AlarmTransition[]>;
  settingChanged(change: SettingChange): Promise<void>;
  /** What a setting was last changed to; null if it never was. */
  lastSetting(subject: string, path: string): Promise<KeptSetting | null>;
  maintenance(done: Maintenance): Promise<void>;
  /** When a kind of maintenance was last recorded; null if never. */
  lastMaintenance(kind: string): Promise<Maintained | null>;
  health(): JournalHealth;
  /** Commits what is held, for as long as `closeWithinMs` (10 s) allows, and closes. Safe to call twice. */
  close(): Promise<void>;
}

export interface JournalOptions {
  /** Made if it is not there. */
  readonly folder: string;
  readonly session: SessionStart;
  /** The compiled writer-thread.js; by default the one beside this module. */
  readonly workerUrl?: URL;
  /** When writing stops or begins again, or stops for another reason. */
  readonly onHealth?: (health: JournalHealth) => void;
  readonly tuning?: Partial<JournalTuning>;
  /** Monotonic milliseconds since boot, as in `Instant`. */
  readonly now?: () => number;
}

function monotonic(): number {
  return Number(process.hrtime.bigint() / 1_000_000n);
}

/** @throws AppError "sqlite-too-old", "journal-too-new", "journal-unusable" */
export async function openJournal(options: JournalOptions): Promise<Journal> {
  const delivery = await startDelivery({
    folder: options.folder,
    session: options.session,
    workerUrl: options.workerUrl ?? new URL("./writer-thread.js", import.meta.url),
    tuning: { ...TUNING, ...options.tuning },
    now: options.now ?? monotonic,
    onHealth: options.onHealth ?? (() => {}),
  });

  async function ask<K extends ActionName>(
    name: K,
    params: ActionMap[K]["params"],
  ): Promise<ActionMap[K]["result"]> {
    return (await delivery.act({ name, params } as Action)) as ActionMap[K]["result"];
  }
  async function tell<K extends ActionName>(name: K, params: ActionMap[K]["params"]): Promise<void> {
    await ask(name, params);
  }

  return {
    session: delivery.session,
    channelsDefined: (definitions) => tell("channelsDefined", definitions),
    readings: (batch) => delivery.add(batch),
    flush: () => tell("flush", null),
    runBegun: (run) => ask("runBegun", run),
    runEnded: (run) => tell("runEnded", run),
    runSettingsChanged: (id, settings, at, by) => tell("runSettingsChanged", { id, settings, at, by }),
    openRuns: () => ask("openRuns", null),
    alarmTransition: (transition) => tell("alarmTransition", transition),
    lastAlarmStates: () => ask("lastAlarmStates", null),
    settingChanged: (change) => tell("settingChanged", change),
    lastSetting: (subject, path) => ask("lastSetting", { subject, path }),
    maintenance: (done) => tell("maintenance", done),
    lastMaintenance: (kind) => ask("lastMaintenance", kind),
    health: () => delivery.health(),
    close: () => delivery.close(),
  };
}
