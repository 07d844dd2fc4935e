import type { PropertyId } from "./grade.js";
import type { Lot } from "./lot.js";
import type { PhotoRow } from "./photo.js";
import type { CheckId, Plan, PlanPhase } from "./plan.js";
import type { RunCause } from "./run.js";

/** What a specimen is cut with. */
export interface SpecimenSetting {
  readonly speed_mm_s: number;
  readonly power_pct: number;
  readonly passes: number;
  readonly air_assist?: "off" | "low" | "high";
  readonly focus_spacer_mm?: number;
}

/** A piece that is to be cut, with a code of its own before it is. It never changes; what becomes of it is in the entries. */
export interface Specimen {
  readonly code: string;
  /** Id of its plan. */
  readonly plan: string;
  /** From 1. */
  readonly block: number;
  /** From 1 within its block, in the order of cutting. */
  readonly place: number;
  /** Id of its lot. */
  readonly lot: string;
  readonly setting: SpecimenSetting;
  /** The code of the specimen that it is cut in the place of; null for one that was planned. */
  readonly replaces: string | null;
}

/** `spoilt`: cut, but not fit to be compared. */
export type SpecimenState = "waiting" | "cutting" | "cut" | "spoilt" | "skipped";

/** Of the run that a specimen was cut in. */
export interface SpecimenRun {
  readonly id: string;
  readonly number: number;
  readonly cause: RunCause;
  readonly startWall: number;
  readonly endWall: number | null;
  readonly flags: readonly { readonly flag: string; readonly text: string }[];
  readonly coolantMean: number | null;
  /** In what the run was cut otherwise than planned: sentences. */
  readonly otherwise: readonly string[];
}

export interface GivenGrade {
  readonly value: number;
  readonly wall: number;
  readonly by: string | null;
  /** What it was before, latest first. */
  readonly before: readonly {
    readonly value: number | null;
    readonly wall: number;
    readonly by: string | null;
  }[];
}

export interface SpecimenView extends Specimen {
  readonly state: SpecimenState;
  /** Why it was skipped or spoilt; empty where nobody said. */
  readonly why: string;
  /** More than one where it was cut twice, which the page says. */
  readonly runs: readonly SpecimenRun[];
  /** As planned, but where its runs say otherwise; null where it was not cut, or its runs had different settings. */
  readonly cutWith: SpecimenSetting | null;
  /** First grading and second. */
  readonly grades: readonly [Grades, Grades];
  /** Whether it is among those that are graded twice. */
  readonly twice: boolean;
  readonly photos: number;
  /** The code of the one that is cut in its place; null for none. */
  readonly replacedBy: string | null;
}
export type Grades = Readonly<Partial<Record<PropertyId, GivenGrade>>>;

export interface BlockView {
  readonly block: number;
  /** Checks that were pressed before it; null while none were. */
  readonly checked: { readonly done: readonly CheckId[]; readonly wall: number } | null;
  readonly specimens: readonly SpecimenView[];
}

/** What the person at the machine does next. */
export type PlanNeed =
  | { readonly need: "nothing" }
  /** The checks before a block, all that the plan asks for. */
  | { readonly need: "checks"; readonly block: number; readonly checks: readonly CheckId[] }
  | { readonly need: "cut"; readonly code: string }
  /** The beam's line began the run and may begin another of the same piece: a person says that it is done. */
  | { readonly need: "done"; readonly code: string }
  /** A search goes on by whether the last one was cut through. */
  | { readonly need: "outcome"; readonly code: string };

/** What the wall screen shows of the plan that is running. */
export interface TrialNow {
  readonly plan: Pick<Plan, "id" | "number"> & {
    readonly title: string;
    readonly method: "ladder" | "search";
    readonly blind: boolean;
  };
  readonly need: PlanNeed;
  /** The one that the need is about; null where it is about none. */
  readonly specimen: (Specimen & { readonly lotName: string }) | null;
  /** Its place among all, from 1, and how many there are; of a search those that are laid out. */
  readonly place: number;
  readonly of: number;
  readonly cut: number;
  /** The code of the one whose run is open; null for none. */
  readonly cutting: string | null;
  /** The last that was cut, for a look back; null before the first. */
  readonly last: Pick<SpecimenView, "code" | "runs" | "state" | "grades" | "replacedBy"> | null;
  /** How the search stands, a sentence for each lot; empty for a ladder. */
  readonly found: readonly string[];
}

export interface PlanView extends Plan {
  readonly phase: PlanPhase;
  readonly lots: readonly Pick<Lot, "id" | "number" | "facts">[];
  readonly blocks: readonly BlockView[];
  readonly need: PlanNeed;
  readonly counts: Readonly<Record<SpecimenState, number>>;
}

/** Of a three-point bending test, N/mm²; null where something for it was not measured. */
export interface BendingResult {
  readonly strength: number | null;
  readonly modulus: number | null;
  /** In what the piece is not one of the standard. */
  readonly departures: readonly string[];
  /** What is missing or contradicts itself. */
  readonly words: readonly string[];
}

/** What the grading page of a specimen is made of. */
export interface GradingSheet {
  readonly code: string;
  readonly plan: Pick<Plan, "id" | "number"> & { readonly title: string };
  /** Then neither lot nor setting is told. */
  readonly blind: boolean;
  readonly lotName: string | null;
  readonly setting: SpecimenSetting | null;
  readonly state: SpecimenState;
  readonly twice: boolean;
  readonly properties: readonly PropertyId[];
  /** Which grading these are of: those of the other are not told. */
  readonly grading: 1 | 2;
  readonly grades: Grades;
  /** Null where nothing of a bending test was measured. */
  readonly bending: BendingResult | null;
  readonly photos: readonly PhotoRow[];
}

export interface SpecimenOutcome {
  readonly through: boolean | null;
  /** Id of the run that this speaks of: of several that were set alike the last; null where they were not, or there is none. */
  readonly run: string | null;
}

/** A plan in a list. */
export interface PlanRow extends Plan {
  readonly phase: PlanPhase;
  readonly specimens: number;
  readonly cut: number;
}
