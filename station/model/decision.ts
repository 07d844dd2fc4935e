import type { EntryBody } from "./entry.js";
import type { Limited } from "./limited.js";
import type { Lot } from "./lot.js";

export interface LotConditions {
  readonly lot: string;
  readonly name: string;
  readonly cut: number;
  readonly flagged: number;
  readonly spoilt: number;
  /** °C, the mean of the means of its runs. */
  readonly coolantMean: number | null;
}

export interface ConditionsView {
  /** °C, of the means of the runs. */
  readonly coolant: { readonly least: number; readonly most: number } | null;
  readonly firstWall: number | null;
  readonly lastWall: number | null;
  /** From the first run to the last. */
  readonly days: number;
  /** Hours of beam since mirrors and lens were cleaned, at the first run of each block; null where it was never noted. */
  readonly opticsHours: { readonly least: number; readonly most: number } | null;
  readonly lots: readonly LotConditions[];
  readonly sentences: readonly string[];
}

/** What one lot has of a property. */
export interface LotFigures {
  readonly lot: string;
  readonly name: string;
  readonly n: number;
  /** Every specimen's, for the picture. */
  readonly values: readonly number[];
  /** How many had each grade, best first; null for what is measured. */
  readonly counts: readonly number[] | null;
  readonly median: number | null;
  /** Null for grades, whose steps have no size. */
  readonly mean: number | null;
  readonly sd: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

/** `apart`: the limits leave no difference out. */
export type Verdict = "apart" | "cannot tell" | "too few" | "nothing";

export interface LotDifference extends Limited {
  /** Ids: the difference is of the second less the first. */
  readonly first: string;
  readonly second: string;
  readonly pairs: number;
  readonly p: number | null;
  readonly verdict: Verdict;
  readonly sentence: string;
}

export interface PropertyComparison {
  readonly id: string;
  readonly name: string;
  readonly unit: string;
  /** The words of the grades, best first; null for what is measured. */
  readonly words: readonly string[] | null;
  readonly lots: readonly LotFigures[];
  readonly differences: readonly LotDifference[];
  /** What to think of the figures: departures from a standard, say. */
  readonly remarks: readonly string[];
}

export interface LotThreshold {
  readonly lot: string;
  readonly name: string;
  readonly n: number;
  /** What became of its cuts; `nothing` where none was graded. */
  readonly seen: "all through" | "none through" | "both" | "nothing";
  /** Speeds that were tried, mm/s; null where nothing was. */
  readonly tried: { readonly slowest: number; readonly fastest: number } | null;
  /** mm/s: through every other time. */
  readonly half: Limited;
  /** mm/s: through 19 times in 20. */
  readonly surely: Limited;
  readonly warnings: readonly string[];
}

/** Without an estimate where one of the two was always through, or never: then it is known on one side at most. */
export interface ThresholdRatio extends Limited {
  readonly first: string;
  readonly second: string;
  readonly verdict: Verdict;
  readonly sentence: string;
}

export interface SelfAgreement {
  readonly id: string;
  readonly name: string;
  readonly kappa: number | null;
  readonly same: number | null;
  readonly n: number;
  readonly sentence: string;
}

export interface LotCost {
  readonly lot: string;
  readonly name: string;
  /** Of a good part, in the owner's currency; null where something is missing. */
  readonly goodPart: Limited;
  readonly material: number | null;
  readonly laser: number | null;
  readonly finishing: number | null;
  readonly partsFromSheet: number | null;
  /** Of the sheet's area, 0 to 1. */
  readonly offcut: number | null;
  readonly badShare: (Limited & { readonly n: number }) | null;
  readonly sentence: string;
}

/** What could go on the lot's settings sheet. */
export interface ProposedSetting {
  readonly lot: string;
  readonly name: string;
  /** The fastest speed that was found, mm/s. */
  readonly foundMmS: number;
  readonly how: string;
  readonly marginPct: number;
  /** With the margin. */
  readonly speedMmS: number;
  readonly powerPct: number;
  readonly passes: number;
  readonly focusSpacerMm: number | null;
  readonly conditions: string;
}

export interface DecisionView {
  readonly plan: { readonly id: string; readonly number: number; readonly title: string };
  readonly lots: readonly (Pick<Lot, "id" | "number"> & { readonly name: string })[];
  readonly currency: string;
  /** A sentence for each conclusion. */
  readonly sentences: readonly string[];
  readonly compared: readonly string[];
  readonly conditions: ConditionsView;
  readonly properties: readonly PropertyComparison[];
  readonly thresholds: readonly LotThreshold[];
  readonly ratios: readonly ThresholdRatio[];
  readonly agreement: readonly SelfAgreement[];
  readonly costs: readonly LotCost[];
  readonly settings: readonly ProposedSetting[];
  readonly notKnown: readonly string[];
}

/** What the owner decided; earlier ones stay. */
export interface KeptDecision {
  readonly lot: string | null;
  readonly lotName: string | null;
  readonly reason: string;
  readonly wall: number;
  readonly by: string | null;
}

export interface SheetLine {
  readonly body: EntryBody<"sheet">;
  readonly planMark: string | null;
  readonly wall: number;
  readonly by: string | null;
  /** What it was before, latest first. */
  readonly before: readonly {
    readonly body: EntryBody<"sheet">;
    readonly wall: number;
    readonly by: string | null;
  }[];
}

export interface SettingsSheet {
  readonly lot: Pick<Lot, "id" | "number"> & { readonly name: string };
  readonly lines: readonly SheetLine[];
}

export interface DecisionAnswer {
  readonly view: DecisionView;
  /** Newest first. */
  readonly decisions: readonly KeptDecision[];
  readonly sheets: readonly SettingsSheet[];
}
