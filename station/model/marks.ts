import type { Priority } from "./alarm.js";

/** A run as a mark on a chart. */
export interface RunMark {
  readonly id: string;
  readonly number: number;
  /** Wall milliseconds. */
  readonly startWall: number;
  /** Null while it is open. */
  readonly endWall: number | null;
  readonly material: string | null;
  /** Whether it carries a flag other than `simulated`. */
  readonly flagged: boolean;
}

/** The raising of an alarm as a mark on a chart. */
export interface AlarmMark {
  /** Its place in the log. */
  readonly seq: number;
  readonly alarm: string;
  readonly title: string;
  readonly priority: Priority;
  readonly wall: number;
  readonly detail: string;
}

export interface MaintenanceMark {
  readonly id: number;
  /** "optics-cleaned", ... */
  readonly kind: string;
  readonly wall: number;
  readonly note: string;
}

/** The setting of the station's own clock. */
export interface ClockMark {
  readonly id: number;
  /** As the clock showed it afterwards. */
  readonly wall: number;
  /** Milliseconds, above 0 for forward; never 0. */
  readonly shiftMs: number;
  /** Whether the times before it have been corrected. */
  readonly placed: boolean;
}

/** Many of one kind, of which there are too many in a window for each to be told: those of one part of it. */
export interface Crowd {
  readonly of: "run" | "alarm" | "maintenance";
  /** Wall milliseconds of the first, and of the last or its end. */
  readonly from: number;
  readonly to: number;
  readonly count: number;
  /** Of alarms the highest; null for all else. */
  readonly priority: Priority | null;
}

/**
 * What happened in a window of wall time, each list latest first, crowds in the order of time. A kind of which there is
 * more than was asked for is given as crowds alone; of the settings of the clock, which are few, the latest.
 */
export interface Marks {
  readonly runs: readonly RunMark[];
  readonly alarms: readonly AlarmMark[];
  readonly maintenance: readonly MaintenanceMark[];
  readonly clock: readonly ClockMark[];
  readonly crowds: readonly Crowd[];
}

/** Wall milliseconds of the first and the last that a journal holds; both null where it holds no reading. */
export interface JournalSpan {
  readonly from: number | null;
  readonly to: number | null;
}
