import type { DecisionView } from "../../model/decision.js";
import type { Entry, EntryAnswer, KeptEntry } from "../../model/entry.js";
import type { Instant } from "../../model/instant.js";
import type { Lot, LotFacts } from "../../model/lot.js";
import type { RunRow } from "../../model/now.js";
import type { Plan, PlanFacts, PlanPreview, SpeedSearch } from "../../model/plan.js";
import type { PlanView, Specimen, SpecimenView } from "../../model/specimen.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import type { SearchState, TrialCut } from "../../trials/search.js";
import type { UpkeepReads } from "./upkeep.js";

export interface LotGiven {
  readonly id: string;
  readonly facts: LotFacts;
  readonly at: Instant;
  /** The screen's own name; null where no person did it. */
  readonly by: string | null;
}

export type SpecimenGiven = Omit<Specimen, "plan">;

export interface PlanGiven {
  readonly id: string;
  readonly facts: PlanFacts;
  readonly specimens: readonly SpecimenGiven[];
  readonly at: Instant;
}

export interface EntriesGiven {
  readonly entries: readonly Entry[];
  readonly at: Instant;
}

/** What the writing thread does for trials. */
export interface TrialActionMap {
  lotKept: { params: LotGiven; result: Lot };
  planLaid: { params: PlanGiven; result: Plan };
  specimensAdded: { params: Pick<PlanGiven, "id" | "specimens">; result: null };
  entriesKept: { params: EntriesGiven; result: EntryAnswer[] };
}

/**
 * A plan with everything that was entered about it but the photos, which are counted by the codes of specimens, and the runs its
 * specimens were cut in, oldest first.
 */
export interface PlanRecord {
  readonly plan: Plan;
  readonly lots: readonly Lot[];
  readonly specimens: readonly Specimen[];
  readonly entries: readonly KeptEntry[];
  readonly photos: Readonly<Record<string, number>>;
  readonly runs: readonly RunRow[];
}

/** What is known of a plan and not on the disk yet; of entries and runs there may be others' among them. */
export interface LatePlan {
  readonly entries: readonly KeptEntry[];
  readonly specimens: readonly Specimen[];
  readonly runs: readonly RunRow[];
}

/** A specimen with its plan, and its lot where the journal has it. */
export interface SpecimenInPlan {
  readonly plan: Plan;
  readonly lot: Pick<Lot, "id" | "number" | "facts"> | null;
  readonly specimen: SpecimenView;
}

/** What is entered of one subject, newest first. */
export interface EntriesRequest {
  readonly kind: KeptEntry["kind"];
  readonly subject: string;
}

/** What is asked of all runs together. */
export type ReviewAsked =
  | { readonly about: "conditions" }
  | { readonly about: "run"; readonly run: string }
  | {
      readonly about: "materials";
      readonly first: string;
      readonly second: string;
      /** What costs are reckoned with. */
      readonly facts: WorkshopFacts;
    }
  | { readonly about: "drift"; readonly reference: string }
  | { readonly about: "rows" };

export interface ReviewReads {
  /**
   * JSON in UTF-8: a `ReviewOverview`, `BadRunView`, `MaterialsView`, `DriftView` or `ReviewRows`. Gathered and reckoned on the
   * reading thread, because it takes its time.
   */
  review: { params: ReviewAsked; result: Uint8Array };
}

/** What the reading thread answers of trials. */
export interface TrialReads extends UpkeepReads, ReviewReads {
  lots: { params: null; result: Lot[] };
  lot: { params: string; result: Lot | null };
  plans: {
    params: null;
    result: {
      readonly plan: Plan;
      readonly specimens: number;
      readonly cut: number;
      readonly phase: string | null;
    }[];
  };
  /** Only with what says what is to be done next: of grades the one of "Cut through". */
  planCore: { params: string; result: PlanRecord | null };
  /** As it stands, worked out on the reading thread, with what is not on the disk yet. */
  plan: { params: { readonly id: string; readonly late: LatePlan }; result: PlanView | null };
  /** The same as JSON in UTF-8: of a large plan neither is made on the main thread. */
  planText: { params: { readonly id: string; readonly late: LatePlan }; result: Uint8Array | null };
  /** Its specimens as a table, CSV in UTF-8. */
  planTable: { params: { readonly id: string; readonly late: LatePlan }; result: Uint8Array | null };
  /** One specimen of it, with what its grading is made of. */
  specimenView: {
    params: { readonly code: string; readonly plan: string; readonly late: LatePlan };
    result: SpecimenInPlan | null;
  };
  /** What it shows, reckoned on the reading thread, because it takes its time. */
  decision: {
    params: { readonly id: string; readonly facts: WorkshopFacts; readonly late: LatePlan };
    result: DecisionView | null;
  };
  /** How the search of each lot stands: reckoned on the reading thread, because it takes its time. */
  searches: {
    params: { readonly layout: SpeedSearch; readonly cuts: readonly (readonly TrialCut[])[] };
    result: SearchState[];
  };
  preview: { params: PlanFacts; result: PlanPreview };
  specimen: { params: string; result: Specimen | null };
  /** Every code there is. */
  codes: { params: null; result: string[] };
  entriesOf: { params: EntriesRequest; result: KeptEntry[] };
  /** An entry by its id. */
  entry: { params: string; result: KeptEntry | null };
  /** The newest, newest first, and how many there are. */
  pastRuns: {
    params: { readonly limit: number };
    result: { readonly runs: readonly KeptEntry<"past">[]; readonly total: number };
  };
  /** The sums of all photos that an entry speaks of. */
  photoSums: { params: null; result: string[] };
}

/** What is worked out of plans: what that takes is loaded when the first of these is asked. */
export type ViewQuestion =
  | "plan"
  | "planText"
  | "planTable"
  | "specimenView"
  | "decision"
  | "preview"
  | "searches";

/** Has the writing thread do something; resolves once it is on the disk. */
export type KeepTrials = <K extends keyof TrialActionMap>(
  name: K,
  params: TrialActionMap[K]["params"],
) => Promise<TrialActionMap[K]["result"]>;

/** Asks the reading thread. */
export type AskTrials = <K extends keyof TrialReads>(
  question: K,
  params: TrialReads[K]["params"],
) => Promise<TrialReads[K]["result"]>;
