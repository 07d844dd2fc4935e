import type { AlarmTransition } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ClockState, ClockStep, Instant } from "../model/instant.js";
import type { Run, RunSettings } from "../model/run.js";
import type { Columns } from "./columns.js";
import type { DeedActionMap } from "./deeds.js";
import type { WalState } from "./disk/wal.js";
import type { NoticeActionMap } from "./notices.js";
import type { StampReach } from "./thinning/keeping.js";
import type { TrialActionMap } from "./trials/calls.js";

/** What is known of a start of the station when it opens its journal. */
export interface SessionStart {
  /** Unique id of this start; opening again with the same id carries the session on. */
  readonly start: string;
  readonly bootId: string;
  readonly at: Instant;
  readonly clock: ClockState;
  readonly version: string;
  readonly simulated: boolean;
  readonly configHash: string;
}

export interface RunSettingsChange {
  readonly id: string;
  readonly settings: RunSettings;
  readonly at: Instant;
  /** The screen's own name; null where no person did it. */
  readonly by: string | null;
}

/** `old` and `new` are anything JSON can hold; undefined where there was, or is, none. */
export interface SettingChange {
  /** What was changed: `run:<id>`, `channel:<id>`, `alarm:<id>`, `job-sheet`, ... */
  readonly subject: string;
  readonly path: string;
  readonly old: unknown;
  readonly new: unknown;
  readonly at: Instant;
  readonly by: string | null;
}

export type SettingName = Pick<SettingChange, "subject" | "path">;

/** What a setting was last changed to, and when. */
export interface KeptSetting {
  readonly value: unknown;
  readonly wall: number;
}

export interface Maintenance {
  /** "optics-cleaned", ... */
  readonly kind: string;
  readonly at: Instant;
  readonly note: string;
}

/** When something was last done; `mono` may be compared within its boot only. */
export interface Maintained {
  readonly wall: number;
  readonly mono: number;
  readonly bootId: string;
}

/** Of which readings the full resolution is no longer wanted. */
export interface ThinOrder {
  /** Those before this moment of the wall clock, but for what the stamps of runs were made of. */
  readonly beforeWall: number;
  readonly reach: StampReach;
}

/** What the writing thread does on request, in the order it was asked. */
export interface ActionMap extends TrialActionMap, DeedActionMap, NoticeActionMap {
  channelsDefined: { params: readonly ChannelDefinition[]; result: null };
  runBegun: { params: Run; result: Run };
  runEnded: { params: Run; result: null };
  runSettingsChanged: { params: RunSettingsChange; result: null };
  alarmTransition: { params: AlarmTransition; result: null };
  settingChanged: { params: SettingChange; result: null };
  maintenance: { params: Maintenance; result: null };
  clockStepped: { params: ClockStep; result: null };
  flush: { params: null; result: null };
  thin: { params: ThinOrder; result: null };
  /** The name of an index that does not have what its table holds. */
  indexMade: { params: string; result: null };
  openRuns: { params: null; result: Run[] };
  /** Monotonic milliseconds of the first start after the one of the run, in the same boot. */
  startAfterRun: { params: string; result: number | null };
  lastMaintenance: { params: string; result: Maintained | null };
  lastAlarmStates: { params: null; result: AlarmTransition[] };
  alarmStatesBefore: { params: null; result: AlarmTransition[] };
  lastSetting: { params: SettingName; result: KeptSetting | null };
}
export type ActionName = keyof ActionMap;
export type Action<K extends ActionName = ActionName> = {
  [N in K]: { readonly name: N; readonly params: ActionMap[N]["params"] };
}[K];
export type ActionResult = ActionMap[ActionName]["result"];

/** What is kept or refused as one: readings, and then at most one action. Numbered from 1 in each session. */
export interface Parcel {
  readonly number: number;
  readonly readings: Columns | null;
  readonly action: Action | null;
}

export interface Receipt {
  readonly result: ActionResult;
  /** Why the action was refused, its readings being committed all the same; null if it was done. */
  readonly refused: Refusal | null;
  /** Readings that could not be stored for a fault of their own. */
  readonly lost: number;
  /** The disk has no room for readings: those of this parcel were not written and are to be given again in another one. */
  readonly held: boolean;
  /**
   * Milliseconds that the commit took, with what was waited for the lock: told of the first of those that were written by it, and
   * null of the others and where nothing was written.
   */
  readonly tookMs: number | null;
}

/** Parcels on their way, in the order of their numbers: what waited for the one before is committed together. */
export interface Delivered {
  readonly parcels: readonly Parcel[];
  /** Among them is the first with readings since it was said that there is room for them again. */
  readonly resume: boolean;
  /** The station is being stopped: what is not written now is lost. */
  readonly last: boolean;
}

/** An error on its way between the threads; `code` is null for one that is not an AppError. */
export interface Refusal {
  readonly code: string | null;
  readonly detail: string;
}

export interface WriterOpening {
  readonly folder: string;
  readonly session: SessionStart;
  readonly busyTimeoutMs: number;
  /** First pause after a failed commit, and after a failed opening; each is doubled. */
  readonly retryMs: number;
  readonly reopenMs: number;
  readonly sealEveryMs: number;
  readonly lookEveryMs: number;
  /** Bytes of the disk that readings leave free. */
  readonly reserveBytes: number;
  /** The file that was open before, where a thread has ended: no other is taken for it. */
  readonly file: FileIdentity | null;
}

/** Which file it is, whatever its name. */
export type FileIdentity = string;

export interface WriterOpened {
  readonly session: number;
  readonly file: FileIdentity;
}

export interface WriterCalls {
  open: { params: WriterOpening; result: WriterOpened };
  /** A receipt for each. */
  commit: { params: Delivered; result: Receipt[] };
}

/** Sent by the writing thread unasked: what is wrong, and null once it has passed. */
export interface TroubleNotice {
  readonly trouble: string | null;
}

/** The same: why old readings could not be sealed, which are kept as rows meanwhile. */
export interface UnsealedNotice {
  readonly unsealed: string | null;
}

/** The same: the state of the WAL, at every look. */
export interface WalNotice {
  readonly wal: WalState;
}

/** The same: there is room again for readings that were held. */
export interface RoomNotice {
  readonly room: true;
}

export type WriterNotice = TroubleNotice | UnsealedNotice | WalNotice | RoomNotice;
