import type { AlarmKind, Priority } from "./alarm.js";

/**
 * Figures of an alarm system as ISA-18.2 and IEC 62682 count them, with what they recommend for one operator. All from memory:
 * no copy was at hand. They were found in control rooms with thousands of alarms; in a shop with two dozen they say where to
 * look, and no more.
 */
export const RECOMMENDED = {
  /** Alarms a day: very likely acceptable up to, and manageable at most. */
  perDay: { acceptable: 150, most: 300 },
  /** Alarms in ten minutes, on average. */
  perTenMinutes: { acceptable: 1, most: 2 },
  /** More than so many in ten minutes are a flood; it is over with fewer than so many. */
  flood: { above: 10, overBelow: 5, shareOfTime: 0.01 },
  /** Share of the ten most frequent in all. */
  topTenShare: 0.05,
  chattering: 0,
  /** Standing for more than a day. */
  stale: 5,
  /** With four priorities: those of the highest are the fewest. */
  priorityShare: { urgent: 0.01, high: 0.05, medium: 0.15, low: 0.79 },
} as const;

export interface FrequentAlarm {
  readonly alarm: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly count: number;
  /** Of all that were raised, 0 to 1. */
  readonly share: number;
}

/** Lengths of time, by the monotonic clock; null without any. */
export interface Lengths {
  readonly medianMs: number | null;
  readonly longestMs: number | null;
  readonly count: number;
  /** Those that went over a restart by a clock that nobody had set, so that their length is not known. */
  readonly unknown: number;
}

export interface AlarmPerformance {
  /** Wall milliseconds. */
  readonly from: number;
  readonly to: number;
  /** Of 24 hours each, ≥ 0; what came before the first reading of a clock that was set does not count. */
  readonly days: number;
  readonly raised: number;
  /** Of those, raised by a clock that nobody had set: they belong to no day. */
  readonly undated: number;
  readonly averagePerDay: number | null;
  readonly worstDay: { readonly day: string; readonly count: number } | null;
  readonly averagePerTenMinutes: number | null;
  /** The most in any ten minutes. */
  readonly peakInTenMinutes: number;
  readonly floods: { readonly count: number; readonly ms: number; readonly longestMs: number };
  readonly chattering: readonly FrequentAlarm[];
  /** The ten most frequent, most first. */
  readonly frequent: readonly FrequentAlarm[];
  readonly topTenShare: number | null;
  readonly toAcknowledge: Lengths;
  /** From the rise until the condition had gone. */
  readonly inAlarm: Lengths;
  readonly reAlarmed: number;
  readonly shelved: number;
  readonly takenOutOfService: number;
  readonly suppressedByDesign: number;
  readonly priorities: readonly {
    readonly priority: Priority;
    readonly count: number;
    readonly share: number;
  }[];
  /** There was more than could be looked through: the figures are of the latest. */
  readonly cut: boolean;
}

/** The same with how things stand at this moment. */
export interface AlarmPerformanceView extends AlarmPerformance {
  readonly now: {
    readonly standing: number;
    readonly stale: number;
    readonly chattering: number;
    readonly shelved: number;
    readonly outOfService: number;
    readonly suppressedByDesign: number;
  };
}
