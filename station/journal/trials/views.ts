import type { PlanView } from "../../model/specimen.js";
import { decide } from "../../trials/decision/decide.js";
import { withLate } from "../../trials/plans/handed-over.js";
import { previewPlan } from "../../trials/plans/plan-preview.js";
import { searchState } from "../../trials/plans/plan-search.js";
import { viewPlan } from "../../trials/plans/plan-view.js";
import { specimenTable } from "../../trials/plans/specimen-table.js";
import type { Db } from "../database.js";
import type { TrialReads, ViewQuestion } from "./calls.js";
import { createPlanRecords } from "./plan-records.js";
import { createUpkeepReads } from "./upkeep.js";

type Answers = {
  readonly [K in ViewQuestion]: (params: TrialReads[K]["params"]) => TrialReads[K]["result"];
};

/** What is worked out of plans, over the read-only connection. */
export function createTrialViews(db: Db): Answers {
  const records = createPlanRecords(db);
  const upkeep = createUpkeepReads(db);

  function planView({ id, late }: TrialReads["plan"]["params"]): PlanView | null {
    const record = records.whole(id);
    return record === null ? null : viewPlan(withLate(record, late));
  }

  /** Before the first run of each block: more would take long for a large plan. */
  function opticsHours({ blocks }: PlanView): number[] {
    return blocks.flatMap(({ specimens }) => {
      const first = specimens.flatMap(({ runs }) => runs).sort((a, b) => a.number - b.number)[0];
      if (first === undefined) return [];
      const [cleaned] = upkeep.upkeep({ run: first.id, kinds: ["optics-cleaned"] });
      return cleaned === undefined ? [] : [cleaned.laserHours];
    });
  }

  return {
    plan: planView,
    planText(asked) {
      const view = planView(asked);
      return view === null ? null : Buffer.from(JSON.stringify(view));
    },
    planTable(asked) {
      const view = planView(asked);
      return view === null ? null : Buffer.from(specimenTable(view, records.runs(asked.id)));
    },
    specimenView({ code, plan: id, late }) {
      const view = planView({ id, late });
      const specimen = view?.blocks.flatMap(({ specimens }) => specimens).find((each) => each.code === code);
      if (view === null || specimen === undefined) return null;
      const { number, facts, madeWall, lots } = view;
      const lot = lots.find((each) => each.id === specimen.lot) ?? null;
      return { plan: { id, number, facts, madeWall }, lot, specimen };
    },
    decision({ id, facts, late }) {
      const view = planView({ id, late });
      return view === null ? null : decide(view, facts, opticsHours(view));
    },
    preview: previewPlan,
    searches: ({ layout, cuts }) => cuts.map((each) => searchState(layout, each)),
  };
}
