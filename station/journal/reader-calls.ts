import type { AlarmTransition } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ClockStep, Instant } from "../model/instant.js";
import type { RunRow, Series } from "../model/now.js";
import type { PlacedRun, PlacedTimes, Run } from "../model/run.js";
import type { FigureCalls } from "./alarm-figures.js";
import type { Columns } from "./columns.js";
import type { DeedReads } from "./deeds.js";
import type { MarkCalls } from "./marks.js";
import type { ProcessReads } from "./process-reads.js";
import type { SessionStart, SettingChange } from "./protocol.js";
import type { ExtentCalls } from "./thinning/extent.js";
import type { TrialReads } from "./trials/calls.js";

/** `before` is the number or seq of the last row the page has; the rows come newest first. */
export interface PageRequest {
  readonly before?: number;
  /** 1 to 500. */
  readonly limit: number;
}

export interface RunsRequest extends PageRequest {
  /** Only runs with a flag other than `simulated`, which every run of the bench simulator carries. */
  readonly flaggedOnly?: boolean;
}

export interface SettingChangesRequest extends PageRequest {
  /** Only the changes of this subject. */
  readonly subject?: string;
}

/** Wall milliseconds, `from` included, `to` not; 1 to 2000 buckets. */
export interface SeriesRequest {
  readonly channel: string;
  readonly from: number;
  readonly to: number;
  readonly buckets: number;
}

/**
 * A chart of a window by the monotonic clock of one boot, `fromMono` included, `toMono` not; 1 to 2000 buckets. Shown as
 * though the wall clock had gone on from `startWall`, its reading at `fromMono`, without being set.
 */
export interface RunSeriesRequest {
  readonly channel: string;
  readonly bootId: string;
  readonly fromMono: number;
  readonly toMono: number;
  readonly startWall: number;
  readonly buckets: number;
}

/** Both ends included. */
export interface ReplayRequest {
  readonly bootId: string;
  readonly fromMono: number;
  readonly toMono: number;
  /** Default: all. */
  readonly channels?: readonly string[];
  /** Only readings of this start of the station. */
  readonly session?: number;
  /** Stretches of readings none of which has a wall time in here are passed over; what comes may still lie outside. */
  readonly fromWall?: number;
  readonly toWall?: number;
}

/** The next readings of a replay: those written after the row `after`, 0 to begin with. */
export interface ReplayBlockRequest extends ReplayRequest {
  readonly after: number;
}

export interface ReplayBlock {
  /** May be none, where much was walked and little of it asked for. */
  readonly readings: Columns;
  /** `after` of the next block; null when there is none. */
  readonly next: number | null;
}

export interface LastReadingsRequest {
  readonly bootId: string;
  /** Readings before this moment, not at it. */
  readonly mono: number;
  /** How far to look back. */
  readonly withinMs: number;
}

export type LastMomentRequest = { readonly bootId: string } | { readonly session: number };

export type LoggedTransition = AlarmTransition & { readonly seq: number };
export type LoggedSettingChange = SettingChange & { readonly id: number; readonly session: number };

/** The rows with a greater number, seq or id than `after` (0 to begin with), oldest first. */
export interface AfterRequest {
  readonly after: number;
  /** 1 to 500. */
  readonly limit: number;
}

/** A start of the station with its number in this journal. */
export type KeptSession = SessionStart & { readonly session: number };
/** What a channel was from this start of the station on. */
export interface KeptDefinition {
  readonly session: number;
  readonly definition: ChannelDefinition;
}
export interface KeptRun {
  readonly session: number;
  readonly run: Run;
  readonly placed: PlacedTimes | null;
}
export interface KeptClockStep {
  readonly session: number;
  readonly step: ClockStep;
}
export type KeptTransition = LoggedTransition & { readonly session: number };

export interface ReaderCalls
  extends ProcessReads,
    FigureCalls,
    MarkCalls,
    ExtentCalls,
    DeedReads,
    TrialReads {
  open: { params: { readonly folder: string }; result: null };
  runs: { params: RunsRequest; result: { readonly runs: RunRow[]; readonly more: boolean } };
  run: { params: string; result: PlacedRun | null };
  alarmLog: {
    params: PageRequest;
    result: { readonly transitions: LoggedTransition[]; readonly more: boolean };
  };
  settingChanges: {
    params: SettingChangesRequest;
    result: { readonly changes: LoggedSettingChange[]; readonly more: boolean };
  };
  /** As JSON in UTF-8. */
  seriesText: { params: SeriesRequest; result: Uint8Array };
  runSeries: { params: RunSeriesRequest; result: Series };
  replayBlock: { params: ReplayBlockRequest; result: ReplayBlock };
  lastReadingsBefore: { params: LastReadingsRequest; result: Columns };
  lastReadingAt: { params: LastMomentRequest; result: Instant | null };
  integrity: { params: null; result: string[] };
  sessions: { params: null; result: KeptSession[] };
  definitions: { params: null; result: KeptDefinition[] };
  clockSteps: { params: null; result: KeptClockStep[] };
  runsAfter: { params: AfterRequest; result: KeptRun[] };
  transitionsAfter: { params: AfterRequest; result: KeptTransition[] };
  changesAfter: { params: AfterRequest; result: LoggedSettingChange[] };
}
