import type { AfterCut } from "./after-cut.js";
import type { StandingAlarm, SuppressedAlarm } from "./alarm.js";
import type { Caution, CheckListNow } from "./caution.js";
import type { FilterView } from "./filter.js";
import type { ClockState } from "./instant.js";
import type { ChannelKind, ConditionId, Unit } from "./quantity.js";
import type { Quality, Reason } from "./reading.js";
import type { PlacedTimes, Run, RunSettings } from "./run.js";
import type { SourceStatus } from "./source.js";
import type { TrialNow } from "./specimen.js";

/** A value on the live page: it always carries its age and quality, and is null when bad. */
export interface LiveValue {
  readonly value: number | null;
  readonly quality: Quality;
  readonly reason: Reason | null;
  /** For people: why it is not good; null when good. */
  readonly reasonText: string | null;
  /** Milliseconds between the reading and the making of the message; null if never read. */
  readonly ageMs: number | null;
}

export interface LiveChannel extends LiveValue {
  readonly id: string;
  readonly name: string;
  readonly kind: ChannelKind;
  readonly unit: Unit;
  /** Decimals worth showing, from the channel's resolution. */
  readonly decimals: number;
  readonly simulated: boolean;
  /** With no reading for longer than this there is a gap. */
  readonly staleAfterMs: number;
}

export interface LiveCondition extends LiveValue {
  readonly id: ConditionId;
  readonly label: string;
  readonly unit: Unit;
}

/** `not-yet`: all else is in order, and one ordinary thing is to be done before cutting. */
export type Fitness = "fit" | "not-yet" | "not-fit" | "cannot-tell";

/** Fit to cut now, and for how long a job. An advice, not a permission. */
export interface Readiness {
  readonly fitness: Fitness;
  /** Minutes for which the coolant is forecast to stay in range, from 0 to `horizonMin`; null when it cannot be told. */
  readonly minutes: number | null;
  readonly horizonMin: number;
  /** One plain sentence. */
  readonly sentence: string;
  readonly checks: readonly ReadinessCheck[];
}

export interface ReadinessCheck {
  readonly subject: "coolant" | "condensation" | "extraction" | "coolant-flow" | "room" | "journal";
  readonly fitness: Fitness;
  readonly text: string;
}

export type TrendWord = "rising" | "falling" | "steady" | "cycling" | "unknown";

export interface CoolantView {
  readonly channel: string | null;
  readonly low: number;
  readonly high: number;
  readonly trend: TrendWord;
  /** "rising 0.2 °C/min: leaves the range in about 8 min" */
  readonly trendText: string;
}

/** What is expected to come, in words that stand after the name of it; each null where it cannot be told. */
export interface OutlookView {
  /** "in 15 min about 18.3 °C (17.9 to 18.7 °C)" */
  readonly coolant: string | null;
  /** "closing by 1.2 °C an hour: reaches 2 °C in about 40 min (25 to 70 min)" */
  readonly margin: string | null;
  /** Heat that the coolant carries away: "390 W, give or take 170 W". */
  readonly heat: string | null;
}

export interface ExtractionView {
  readonly state: "running" | "stopped" | "unknown";
  readonly text: string;
  /** The fan turns, and yet no air moves: there only where it is so. */
  readonly turns?: true;
}

/** One bucket of a chart: what the station has already reduced. `null` values draw a gap. */
export interface Bucket {
  /** Wall milliseconds of the bucket's start. */
  readonly t: number;
  readonly min: number | null;
  readonly mean: number | null;
  readonly max: number | null;
  /** How many readings in it have a value; left out where that is not known, as is `bad`. */
  readonly count?: number;
  /** How many readings in it were bad, and so had no value. */
  readonly bad?: number;
}

export interface Series {
  readonly channel: string;
  readonly unit: Unit;
  readonly from: number;
  readonly to: number;
  readonly buckets: readonly Bucket[];
  /** There where the full resolution of some readings was taken away by the owner's rule, and minutes are in their place. */
  readonly thinned?: true;
}

export interface Annunciation {
  /** Highest priority among unacknowledged alarms, null for silence. */
  readonly sound: "urgent" | "high" | "medium" | "low" | null;
  readonly outputPin: "active" | "inactive" | "not-fitted" | "faulty";
}

/** Both null if the optics were never marked as cleaned; `agoMs` alone where the clock cannot tell how long ago that was. */
export interface OpticsView {
  readonly cleanedWall: number | null;
  readonly agoMs: number | null;
}

/** Everything the live page shows; sent whole on every connect and coalesced to at most one a second after. */
export interface NowSnapshot {
  /** Id of this start of the station: a page that sees another drops what it held. */
  readonly start: string;
  readonly stationName: string;
  readonly simulated: boolean;
  readonly wall: number;
  readonly clock: ClockState;
  readonly coolant: CoolantView;
  /** The last ten minutes of the coolant: whole in a `snapshot`, in a `live` message only the buckets that changed. */
  readonly coolantLine: readonly Bucket[];
  readonly outlook: OutlookView;
  readonly extraction: ExtractionView;
  readonly afterCut: AfterCut;
  readonly readiness: Readiness;
  readonly channels: readonly LiveChannel[];
  readonly conditions: readonly LiveCondition[];
  readonly sources: readonly SourceStatus[];
  readonly run: Run | null;
  /** How long it has been open, milliseconds by the monotonic clock; null without one. */
  readonly runOpenMs: number | null;
  /** Settings that the next run will take, as last entered on a screen. */
  readonly jobSheet: RunSettings;
  /** Wall time of that entry; absent or null where nothing has been entered or the time is not known. */
  readonly jobSheetWall?: number | null;
  /** The plan that is running; null without one. */
  readonly trial: TrialNow | null;
  readonly optics: OpticsView;
  /** The extraction's filter; null where no sensor watches it, or it has not been looked at yet. */
  readonly filter: FilterView | null;
  readonly alarms: readonly StandingAlarm[];
  /** What is kept silent: never hidden. */
  readonly suppressed?: readonly SuppressedAlarm[];
  readonly annunciation: Annunciation;
  readonly cautions: readonly Caution[];
  /** Check lists that are due. */
  readonly checklists: readonly CheckListNow[];
  readonly journal: {
    readonly writing: boolean;
    /** Readings wait in memory, because the disk has no room for them; runs, alarms and settings are written. */
    readonly held: boolean;
    readonly waiting: number;
    readonly text: string;
    /** What is to be said beside what is drawn of earlier days; absent or null where the journal was found sound. */
    readonly doubt?: string | null;
  };
}

/** An alarm message: repeated until the page answers that it has it. */
export interface AlarmMessage {
  readonly id: string;
  readonly alarms: readonly StandingAlarm[];
  readonly suppressed?: readonly SuppressedAlarm[];
  readonly annunciation: Annunciation;
}

/** A row of the list of runs. */
export type RunRow = Pick<
  Run,
  "id" | "number" | "cause" | "startWall" | "endWall" | "clockAtStart" | "endCause" | "settings" | "simulated"
> & {
  readonly placed: PlacedTimes | null;
  readonly flags: readonly { readonly flag: string; readonly text: string }[];
  readonly coolantMean: number | null;
  /** Milliseconds, by the monotonic clock: the wall clock may be set during a run. Null while it is open. */
  readonly lengthMs: number | null;
};

/** RFC 9457 problem details. */
export interface Problem {
  readonly type: string;
  readonly title: string;
  readonly status: number;
  readonly detail: string;
  readonly code: string;
  readonly errors?: readonly { readonly path: string; readonly expected: string }[];
}
