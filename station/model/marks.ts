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

/** What happened in a window of wall time, each list latest first. `more` says of which there is more than was asked for. */
export interface Marks {
  readonly runs: readonly RunMark[];
  readonly alarms: readonly AlarmMark[];
  readonly maintenance: readonly MaintenanceMark[];
  readonly more: { readonly runs: boolean; readonly alarms: boolean; readonly maintenance: boolean };
}

/** Wall milliseconds of the first and the last that a journal holds; both null where it holds no reading. */
export interface JournalSpan {
  readonly from: number | null;
  readonly to: number | null;
}
