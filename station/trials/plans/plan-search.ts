import type { SpeedSearch } from "../../model/plan.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { lotName } from "../lot-view.js";
import { type SearchState, searchThrough, type TrialCut } from "../search.js";
import { countedOf } from "./counting.js";
import { settingOf } from "./cut-setting.js";
import type { NextTry } from "./laid-out.js";

/** Of the limits of a search: 90 in 100. */
const SEARCH_CONFIDENCE = 0.9;

export interface PlanSearch {
  readonly tries: readonly NextTry[];
  /** A sentence for each lot. */
  readonly found: readonly string[];
}

/**
 * Cuts of a lot that count for its threshold, in the order of cutting: those that were graded, at the speed they were cut with.
 * @param specimens that count
 */
export function cutsOfLot(
  specimens: readonly SpecimenView[],
  lot: string,
  throughUpTo: SpeedSearch["through_up_to"],
): TrialCut[] {
  const numberOf = ({ runs }: SpecimenView) => runs[0]?.number ?? 0;
  return specimens
    .filter((each) => each.lot === lot && each.grades[0].through !== undefined)
    .sort((a, b) => numberOf(a) - numberOf(b))
    .map((each) => ({
      speedMmS: settingOf(each).speed_mm_s,
      through: (each.grades[0].through?.value ?? Number.POSITIVE_INFINITY) <= throughUpTo,
    }));
}

/** Of each lot of a plan, in its order; empty for a ladder. */
export function searchesOf({ facts, blocks }: PlanView): { layout: SpeedSearch; cuts: TrialCut[][] } | null {
  const { layout } = facts;
  if (layout.method !== "search") return null;
  const { counted } = countedOf(
    blocks.flatMap((block) => block.specimens),
    facts,
  );
  return { layout, cuts: facts.lots.map((id) => cutsOfLot(counted, id, layout.through_up_to)) };
}

/** How a search stands after these cuts of a lot; takes some milliseconds. */
export function searchState(layout: SpeedSearch, cuts: readonly TrialCut[]): SearchState {
  return searchThrough(cuts, {
    slowestMmS: layout.slowest_mm_s,
    fastestMmS: layout.fastest_mm_s,
    stepMmS: layout.step_mm_s,
    within: layout.within_pct / 100,
    confidence: SEARCH_CONFIDENCE,
    mostCuts: layout.most_cuts,
  });
}

/** What is tried next, and how it stands, in words. */
export function planSearch({ facts, lots }: PlanView, states: readonly SearchState[]): PlanSearch {
  const tries: NextTry[] = [];
  const found = facts.lots.map((id, lot) => {
    const state = states[lot] as SearchState;
    if (state.nextMmS !== null) tries.push({ lot, speed: state.nextMmS });
    const its = lots.find((each) => each.id === id);
    return [`${its === undefined ? "" : lotName(its)}: ${state.sentence}`, ...state.warnings].join(" ");
  });
  return { tries, found };
}
