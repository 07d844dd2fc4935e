import type { Priority } from "../../../station/model/alarm.js";
import type { Bucket } from "../../../station/model/now.js";
import type { Range } from "./axis.js";

export interface Trace {
  readonly buckets: readonly Bucket[];
  /** How long a value holds: with none for longer there is a gap. */
  readonly staleAfterMs: number;
}

export const NO_TRACE: Trace = { buckets: [], staleAfterMs: 0 };

/** What is drawn across a panel at moments in time. */
export interface PanelMarks {
  /** From and to; an open run reaches to the right edge. */
  readonly runs: readonly (readonly [number, number | null])[];
  readonly alarms: readonly { readonly wall: number; readonly priority: Priority }[];
  readonly maintenance: readonly number[];
}

/** One of the charts that stand over each other on one axis of time. */
export interface PanelSpec {
  /** Wall milliseconds at the left and right edge. */
  readonly from: number;
  readonly to: number;
  /** All in one unit. */
  readonly traces: readonly Trace[];
  readonly decimals: number;
  /** Whether the values are 1 (on) and 0 (off) only. */
  readonly state: boolean;
  /** Set range, drawn as a band; null for none. */
  readonly range: Range | null;
  readonly marks: PanelMarks;
  /** Whether the times stand below it. */
  readonly withTimes: boolean;
}

/** Every panel's drawing lies between these, so that a moment is at the same place in all of them. */
export const PLOT_LEFT_PX = 52;
export const PLOT_RIGHT_PX = 10;
export const TIMES_PX = 26;
