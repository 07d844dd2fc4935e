import type { ClockState } from "./instant.js";
import type { ChannelKind, ConditionId, Unit } from "./quantity.js";
import type { RunSettings } from "./run-schema.js";

export type { RunSettings } from "./run-schema.js";

export type RunCause = "screen" | "foot-switch" | "laser-on";
/** Why it ended. With `power-lost` and `station-failed` it was closed at the next start, from what the journal held. */
export type RunEnd = RunCause | "power-lost" | "station-failed" | "station-stopped";

/** Statistics of one channel or condition over a window. Times are shares of the window or seconds. */
export interface WindowStatistics {
  readonly unit: Unit;
  /** False where the share of good data is below the set share: then no number is given at all. */
  readonly known: boolean;
  readonly min: number | null;
  /** Time-weighted: each value holds until the next, or until it goes stale. */
  readonly mean: number | null;
  /**
   * Standard deviation about the mean, time-weighted too: that of the window itself (divided by its length, not by one
   * less than a number of readings). Absent where a stamp of method 1 was frozen.
   */
  readonly sd?: number | null;
  readonly max: number | null;
  /** The first and the last value that was in force inside the window. */
  readonly first: number | null;
  readonly last: number | null;
  /** 0 to 1: share of the window covered by good values, and by uncertain ones. */
  readonly goodShare: number;
  readonly uncertainShare: number;
  /** Readings that arrived inside the window (any quality); a value held from before the window is not one. */
  readonly readings: number;
}

export interface RunFlag {
  readonly flag:
    | "coolant-out-of-range"
    | "conditions-unknown"
    | "interrupted"
    | "extraction-stopped"
    | "simulated";
  /** Sentence with its numbers. */
  readonly text: string;
  /** For coolant: the furthest excursion beyond the range in °C (negative below), and seconds outside; else null. */
  readonly excursion: number | null;
  readonly seconds: number | null;
}

/** 1: without standard deviations. 2: with them. */
export type StampMethod = 1 | 2;

/** The conditions over exactly the run's window, frozen with the run. */
export interface Stamp {
  /** Version of how it was worked out, so that a recomputation can tell a change of method from a changed journal. */
  readonly method: StampMethod;
  readonly startWall: number;
  readonly startMono: number;
  readonly endWall: number;
  readonly endMono: number;
  readonly bootId: string;
  readonly clockAtStart: ClockState;
  readonly clockAtEnd: ClockState;
  readonly coolantRange: { readonly low: number; readonly high: number };
  readonly minGoodShare: number;
  /** Hours since the optics were last marked as cleaned, null if never. */
  readonly opticsHours: number | null;
  readonly channels: Readonly<
    Record<string, WindowStatistics & { readonly name: string; readonly kind: ChannelKind }>
  >;
  readonly conditions: Readonly<Partial<Record<ConditionId, WindowStatistics>>>;
  readonly flags: readonly RunFlag[];
  readonly simulated: boolean;
  /**
   * When it was frozen, readings waited in memory, because the disk had no room for them: those it was made of may never have been kept.
   * Absent where all of them were in the journal before it.
   */
  readonly readingsHeld?: true;
}

/** The true wall times of a run that was cut before the clock was set. Its stamp keeps what was known when it was cut. */
export interface PlacedTimes {
  readonly startWall: number;
  readonly endWall: number | null;
}

/** A run as it was kept, with its true times where they became known later. */
export type PlacedRun = Run & { readonly placed: PlacedTimes | null };

export interface Run {
  readonly id: string;
  /** Counts up from 1 in this journal: what people call the run. */
  readonly number: number;
  readonly cause: RunCause;
  readonly startWall: number;
  readonly startMono: number;
  readonly bootId: string;
  readonly clockAtStart: ClockState;
  readonly settings: RunSettings;
  readonly simulated: boolean;
  readonly endWall: number | null;
  readonly endMono: number | null;
  readonly endCause: RunEnd | null;
  /** Null while the run is open. */
  readonly stamp: Stamp | null;
}
