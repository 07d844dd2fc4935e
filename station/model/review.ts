import type { Limited } from "./limited.js";
import type { PastCondition } from "./past-run.js";

/** Of what may explain an outcome: a name for people, its unit, and over how much of it an effect is told. */
export interface ConditionFacts {
  readonly name: string;
  /** As it stands behind a number; empty for none. */
  readonly unit: string;
  /** Decimals that are worth showing. */
  readonly decimals: number;
  /** The value from which either way may be bad; left out where more and less are opposites. */
  readonly about?: number;
}

/** The conditions of a cut that are asked about, of a run of the station and of one from a spreadsheet alike. */
export const REVIEW_CONDITIONS: Readonly<Record<PastCondition, ConditionFacts>> = {
  coolant_C: { name: "Coolant", unit: "°C", decimals: 1 },
  room_C: { name: "Room temperature", unit: "°C", decimals: 1 },
  humidity_pct: { name: "Humidity", unit: "%", decimals: 0 },
  airflow_1_min: { name: "Extraction fan", unit: "1/min", decimals: 0 },
  hours_since_optics_cleaned: { name: "Hours since cleaning the optics", unit: "h", decimals: 1 },
  focus_error_mm: { name: "Focus", unit: "mm", decimals: 2, about: 0 },
};

/** Of one cut what review goes by. What is not known is null, or not among the conditions: nothing is filled in. */
export interface ReviewRun {
  /** Unique among those that are reviewed together. */
  readonly id: string;
  /** What people call it. */
  readonly name: string;
  /** Milliseconds UTC of its start. */
  readonly wall: number | null;
  readonly material: string | null;
  readonly lot: string | null;
  /** What was cut in one go under one setting-up. */
  readonly block: string | null;
  readonly speed_mm_s: number | null;
  readonly power_pct: number | null;
  readonly passes: number | null;
  /** Null where nobody told, and where it was spoilt. */
  readonly through: boolean | null;
  /** A place among the grades of "Cut through", 0 for the best. */
  readonly grade: number | null;
  /** N: the force that pressed the piece out or N/mm² in bending, whatever its stock was tested by; null where it was not. */
  readonly strength: number | null;
  /** By the condition's id: finite numbers, those of bad readings left out. */
  readonly conditions: Readonly<Record<string, number>>;
}

/** Upkeep that may have changed what a cut comes to. */
export interface ReviewMark {
  readonly wall: number;
  /** For people: "Optics cleaned". */
  readonly what: string;
}

/** What is asked about, with what people call it, by id. */
export type Conditions = Readonly<Record<string, ConditionFacts>>;

export type ConditionVerdict = "explains" | "may explain" | "no sign" | "cannot tell";

/** What every answer says: a sentence first, then its numbers; null for a number that is not known. */
export interface ReviewFigures extends Limited {
  readonly sentence: string;
  readonly p: number | null;
  /** Runs that it was made of. */
  readonly n: number;
  readonly method: string;
  readonly warnings: readonly string[];
}

/** What a condition has to do with cuts that did not go through, over all runs. */
export interface ConditionAnswer extends ReviewFigures {
  readonly condition: string;
  readonly name: string;
  readonly unit: string;
  /** `explains`: over all runs it has to do with whether a cut goes through. The estimate is the change of the logit for each unit. */
  readonly verdict: ConditionVerdict;
  /** Where it is the distance from a value, either way, that was looked at: that value; null where it is the condition itself. */
  readonly about: number | null;
  /** What a change from low to high does, as a share of speed: −0.08 is 8 % slower; null where it cannot be told. */
  readonly ofSpeed: number | null;
  /** Its limits, the slower one first; null where the data set none. */
  readonly ofSpeedLimits: { readonly lower: number; readonly upper: number } | null;
  /** Of the runs that it was made of: at its 10th and its 90th place in 100, or at its ends where hardly any run differs from the rest. */
  readonly low: number | null;
  readonly high: number | null;
  /** The odds that the smallest effect changes which so many runs would mostly (4 times in 5) have shown, from low to high. */
  readonly detectable: number | null;
  /** What it moved together with: ids of conditions, "time", "order" (of the runs) or the words of a mark. */
  readonly with: readonly string[];
  /** Runs in which it is not known. */
  readonly missing: number;
}

/** A condition of one run that was not cut through. */
export interface RunConditionAnswer extends ReviewFigures {
  readonly condition: string;
  readonly name: string;
  readonly unit: string;
  readonly verdict: ConditionVerdict;
  /** Of this run; null where it is not known. */
  readonly value: number | null;
  /** Of the comparable runs, for the picture. */
  readonly good: readonly number[];
  /** Conformal p of its place among them; null where there is none. */
  readonly placeP: number | null;
}

/** Conditions that moved together, with each other, with time, the order of the runs or upkeep: what they do together, and how to tell them apart. */
export interface TogetherAnswer {
  readonly conditions: readonly string[];
  readonly names: readonly string[];
  readonly sentence: string;
  /** The experiment that would tell them apart, in words. */
  readonly experiment: string;
  /** The same as what a new plan begins with. */
  readonly plan: ExperimentPlan;
  readonly p: number | null;
  readonly n: number;
}

/** A plan of so many blocks with one piece each; null for what cannot be told. */
export interface ExperimentPlan {
  readonly title: string;
  readonly speed_mm_s: number | null;
  readonly power_pct: number | null;
  readonly passes: number | null;
  readonly pieces: number;
  readonly note: string;
}

export interface ComparableRun {
  readonly id: string;
  readonly name: string;
  readonly speed_mm_s: number;
}

/** Question one, of one run. */
export interface BadRunAnswer {
  readonly run: string;
  readonly name: string;
  /** The plain answer. */
  readonly sentence: string;
  readonly comparable: readonly ComparableRun[];
  /** Which were taken, and why so many and no others. */
  readonly why: string;
  readonly conditions: readonly RunConditionAnswer[];
}

/** What one more cut, or a few, would tell. */
export interface NextCut {
  readonly sentence: string;
  /** Share by which the limits would come nearer, expected: 0 to 1. */
  readonly gain: number | null;
}

/** Question one, over all runs. */
export interface ConditionsAnswer {
  readonly sentence: string;
  /** Runs with a known outcome and speed, and those of them that were not cut through. */
  readonly n: number;
  readonly bad: number;
  readonly conditions: readonly ConditionAnswer[];
  readonly together: readonly TogetherAnswer[];
  readonly next: readonly NextCut[];
  readonly warnings: readonly string[];
}

/** Of two stocks. */
export interface MaterialsAnswer extends ReviewFigures {
  readonly first: string;
  readonly second: string;
  /** The name of the better, or else. The estimate is the ratio of the fastest speeds that cut through, second over first. */
  readonly verdict: string;
  /** mm/s at which every other cut is through, of the first and of the second. */
  readonly speeds: readonly [MaterialSpeed, MaterialSpeed];
  /** The ratio as it is without a look at the conditions. */
  readonly plain: Pick<ReviewFigures, "estimate" | "lower" | "upper" | "p">;
  /** What was taken into account beside the speed: ids of conditions. */
  readonly beside: readonly string[];
  /** Other looks at the same two: by block, grades, strength. */
  readonly looks: readonly MaterialLook[];
  /** How large the effect of a condition would have to be to overturn it, a sentence each. */
  readonly overturn: readonly string[];
  readonly next: readonly NextCut[];
}

export interface MaterialSpeed extends Limited {
  readonly name: string;
  readonly n: number;
  /** The speed that is through 19 times in 20, mm/s. */
  readonly surely: Limited;
  /** Each cut, for the picture. */
  readonly cuts: readonly { readonly speed_mm_s: number; readonly through: boolean }[];
}

export interface MaterialLook extends ReviewFigures {
  readonly what: string;
}

/** Question three: a reference that is cut now and then. */
export interface DriftAnswer extends ReviewFigures {
  /** `drifting`: a chart signals. The estimate is the speed since the change over the speed before, with limits. */
  readonly verdict: "drifting" | "no sign" | "cannot tell";
  readonly reference: string;
  /** One for each time it was cut, in order: the speed that still cut, and its chart. */
  readonly points: readonly DriftPoint[];
  readonly marks: readonly ReviewMark[];
  /** The first points make the level that the others are held against. */
  readonly baseline: number;
  /** A place among the points; null where no chart signals. */
  readonly since: number | null;
}

export interface DriftPoint {
  readonly wall: number;
  readonly speed_mm_s: number;
  /** Of the weighted mean, mm/s: null for points of the baseline. */
  readonly mean: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly signals: boolean;
}

/** A line of `station review --json`: of one question about one subject. */
export interface ReviewRow extends ReviewFigures {
  readonly question: "conditions" | "materials";
  /** Where it is about one run. */
  readonly run?: string;
  readonly subject: string;
  readonly verdict: string;
}
