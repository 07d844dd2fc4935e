import { createHash } from "node:crypto";
import type { DecisionView } from "../../model/decision.js";
import { planMark } from "../../model/plan.js";
import type { ConditionsAnswer } from "../../model/review.js";
import type { StockCosts } from "../../model/review-views.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import type { Stock } from "../../review/questions/stocks.js";
import { costComparisons } from "../../trials/decision/costs.js";
import {
  badRunView,
  conditionsAnswer,
  driftView,
  materialsView,
  overviewOf,
  type Reviewed,
  rowsView,
} from "../../trials/review-answers.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import type { TrialReads } from "./calls.js";
import { createReviewRows } from "./review-rows.js";
import { type NumberedRecord, planOf } from "./rows.js";

/** @param decisionOf what a plan shows; null where there is no such plan */
export function createReviewReads(
  db: Db,
  decisionOf: (plan: string, facts: WorkshopFacts) => DecisionView | null,
) {
  const rows = createReviewRows(db);
  const plans = db.prepare<[], NumberedRecord>(
    `SELECT * FROM plan WHERE ${sound("plan")} ORDER BY number DESC`,
  );
  let last: { readonly of: string; readonly answer: ConditionsAnswer } | null = null;

  /** Remembered as long as the runs are the same: every bad run's page asks for it. */
  function overAll(reviewed: Reviewed): ConditionsAnswer {
    const of = createHash("sha256")
      .update(JSON.stringify([reviewed.runs, reviewed.marks]))
      .digest("hex");
    if (last?.of !== of) last = { of, answer: conditionsAnswer(reviewed) };
    return last.answer;
  }

  /** Of two stocks that are each one lot, by the newest plan that compares the two. */
  function costsOf({ runs }: Reviewed, facts: WorkshopFacts, first: Stock, second: Stock): StockCosts | null {
    const [a, b] = [first, second].map((stock) => {
      const its = new Set(runs.filter(({ run }) => stock.of(run)).map(({ lot }) => lot));
      return its.size === 1 ? [...its][0] : null;
    });
    if (a == null || b == null || a === b) return null;
    const plan = plans
      .all()
      .map(planOf)
      .find(({ facts: { lots } }) => lots.includes(a) && lots.includes(b));
    const view = plan === undefined ? null : decisionOf(plan.id, facts);
    if (plan === undefined || view === null) return null;
    const costs = view.costs.filter(({ lot }) => lot === a || lot === b);
    return {
      plan: { id: plan.id, mark: planMark(plan), title: plan.facts.title },
      sentences: [...costComparisons(costs), ...costs.map(({ sentence }) => sentence)],
    };
  }

  function answer(asked: TrialReads["review"]["params"]): object {
    const reviewed = rows();
    switch (asked.about) {
      case "conditions":
        return overviewOf(reviewed, overAll(reviewed));
      case "run":
        return badRunView(reviewed, overAll(reviewed), asked.run);
      case "materials":
        return materialsView(reviewed, asked, (first, second) =>
          costsOf(reviewed, asked.facts, first, second),
        );
      case "drift":
        return driftView(reviewed, asked.reference);
      case "rows":
        return rowsView(reviewed);
    }
  }

  return {
    /** @throws AppError `run-unknown`, `run-not-bad`, `stock-unknown`, `request-invalid` */
    review: (asked: TrialReads["review"]["params"]): TrialReads["review"]["result"] =>
      Buffer.from(JSON.stringify(answer(asked))),
  };
}
