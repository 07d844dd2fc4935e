import type { AlarmTransition } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { Deed, KeptDeed } from "../model/deed.js";
import type { ClockStep, Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunSettings } from "../model/run.js";
import type { LastDeedsRequest } from "./deeds.js";
import { startDelivery } from "./delivery.js";
import type { JournalHealth } from "./health.js";
import type { KeepNotices } from "./notices.js";
import type {
  Action,
  ActionMap,
  ActionName,
  KeptSetting,
  Maintained,
  Maintenance,
  SessionStart,
  SettingChange,
  ThinOrder,
} from "./protocol.js";
import type { KeepTrials } from "./trials/calls.js";
import { type JournalTuning, TUNING } from "./tuning.js";

export type { JournalHealth } from "./health.js";
export type { Maintained, Maintenance, SessionStart, SettingChange } from "./protocol.js";

/**
 * The writing side of the journal, on the main thread. What is asked is carried out in the order it was asked. A promise
 * resolves once the thing is on the disk (synchronous=FULL), which may take as long as the disk does or, while the disk
 * is full, locked or not there, until it is not: whoever must not wait does not await. All reject with AppError
 * "journal-closed" once the journal is closed, and as `ready` does once it has been refused. While too much is waiting
 * (`mostActions`), everything but the beginning and the end of a run rejects with "journal-unusable" and is not kept.
 */
export interface Journal {
  /**
   * Resolves when the file is open and this start has its number. Rejects only where trying again cannot help:
   * AppError "sqlite-too-old", "journal-too-new", "journal-in-use", "journal-unusable" (damaged, or not a journal of this
   * station), and "journal-closed" if it was closed before. It need not be handled: `health` says the same.
   */
  readonly ready: Promise<{ readonly session: number }>;
  /** Number of this start of the station; null until `ready`. */
  readonly session: number | null;
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
  /** When the station next started after the start of a run, in the same boot: monotonic milliseconds; null if it has not. */
  startAfterRun(id: string): Promise<number | null>;
  /** A transition whose id is there already is kept once. */
  alarmTransition(transition: AlarmTransition): Promise<void>;
  /**
   * Of every alarm there has been the latest transition, and before it the latest "raised" where that is another one: when
   * and why it stands. Oldest first.
   */
  lastAlarmStates(): Promise<AlarmTransition[]>;
  /** The same, of the starts before this one: what waited for a late disk is kept before anything is answered. */
  alarmStatesBefore(): Promise<AlarmTransition[]>;
  settingChanged(change: SettingChange): Promise<void>;
  /** What a setting was last changed to; null if it never was. */
  lastSetting(subject: string, path: string): Promise<KeptSetting | null>;
  maintenance(done: Maintenance): Promise<void>;
  /** When a kind of maintenance was last recorded; null if never. */
  lastMaintenance(kind: string): Promise<Maintained | null>;
  /** Keeps what somebody did, for ever. */
  deed(done: Deed): Promise<void>;
  /** The newest of some kinds, newest first, with all that were handed over before. @throws AppError "request-invalid" */
  lastDeeds(request: LastDeedsRequest): Promise<KeptDeed[]>;
  /** Keeps what is to be told outward, and how it stands with it. */
  readonly notices: KeepNotices;
  /**
   * Has the full resolution of readings before a moment taken away, but for what the stamps of runs were made of; their
   * rollups stay. Resolves once that is ordered: it is done between commits, and to be ordered again after a start.
   */
  thin(order: ThinOrder): Promise<void>;
  /**
   * Makes an index anew from its table, which takes a second or two where the journal is large.
   * @throws AppError "request-invalid", "journal-unusable", "internal" where its rows do not allow it
   */
  makeIndex(name: string): Promise<void>;
  /**
   * Keeps that the wall clock was set, or became known to be. Once it resolves the alarms, maintenance and settings from before
   * have their true times; readings get them one after another.
   */
  clockStepped(step: ClockStep): Promise<void>;
  /**
   * Keeps lots, plans, specimens and entries. What is there already by its id is answered as it is.
   * @throws AppError "lot-unknown", "plan-unknown", "plan-known", "code-taken"
   */
  readonly trials: KeepTrials;
  health(): JournalHealth;
  /**
   * For how long the writing thread has given no sign of life, milliseconds; to be asked every few seconds. A disk that is full,
   * locked or away leaves it alive, one that does not answer the kernel does not.
   */
  silentMs(): number;
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

/**
 * Returns at once, whatever the disk does: see `ready`. Where the journal cannot be opened for a reason that may pass (no
 * permission, no room, a lock, a disk that is away or answers with errors) it is tried again from 1 s to 30 s apart;
 * until then readings are held, as many as fit, and whatever else is asked waits in its order.
 */
export function openJournal(options: JournalOptions): Journal {
  const delivery = startDelivery({
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
    ready: delivery.ready,
    get session() {
      return delivery.session;
    },
    channelsDefined: (definitions) => tell("channelsDefined", definitions),
    readings: (batch) => delivery.add(batch),
    flush: () => delivery.flush(),
    runBegun: (run) => ask("runBegun", run),
    runEnded: (run) => tell("runEnded", run),
    runSettingsChanged: (id, settings, at, by) => tell("runSettingsChanged", { id, settings, at, by }),
    openRuns: () => ask("openRuns", null),
    startAfterRun: (id) => ask("startAfterRun", id),
    alarmTransition: (transition) => tell("alarmTransition", transition),
    lastAlarmStates: () => ask("lastAlarmStates", null),
    alarmStatesBefore: () => ask("alarmStatesBefore", null),
    settingChanged: (change) => tell("settingChanged", change),
    lastSetting: (subject, path) => ask("lastSetting", { subject, path }),
    maintenance: (done) => tell("maintenance", done),
    lastMaintenance: (kind) => ask("lastMaintenance", kind),
    deed: (done) => tell("deed", done),
    lastDeeds: (request) => ask("lastDeeds", request),
    notices: (name, params) => ask(name, params as never) as never,
    thin: (order) => tell("thin", order),
    makeIndex: (name) => tell("indexMade", name),
    clockStepped: (step) => tell("clockStepped", step),
    trials: (name, params) => ask(name, params as never) as never,
    health: () => delivery.health(),
    silentMs: () => delivery.silentMs(),
    close: () => delivery.close(),
  };
}
