import { AppError } from "../errors.js";
import {
  type ConditionsAnswer,
  REVIEW_CONDITIONS,
  type ReviewMark,
  type ReviewRun,
} from "../model/review.js";
import type {
  BadRunRow,
  BadRunView,
  DriftView,
  MaterialsView,
  ReviewOverview,
  ReviewRows,
  StockCosts,
  StockRow,
} from "../model/review-views.js";
import { reviewBadRun } from "../review/questions/bad-run.js";
import { reviewConditions } from "../review/questions/conditions.js";
import { reviewDrift } from "../review/questions/drift.js";
import { reviewMaterials } from "../review/questions/materials.js";
import { reviewRows } from "../review/questions/rows.js";
import { type Stock, stocksOf } from "../review/questions/stocks.js";
import type { ReviewedRun } from "./review-runs.js";

/** What is reviewed. */
export interface Reviewed {
  /** Oldest first. */
  readonly runs: readonly ReviewedRun[];
  readonly marks: readonly ReviewMark[];
  /** What was left out of the runs, and why: sentences. */
  readonly warnings: readonly string[];
}

export function overviewOf({ runs, warnings }: Reviewed, answer: ConditionsAnswer): ReviewOverview {
  return {
    runs: runs.length,
    answer,
    badRuns: runs.filter(isBad).map(badRunRow).reverse(),
    stocks: stockRows(stocksOf(judged(runs))),
    warnings,
  };
}

/** What the conditions have to do with bad runs. */
export function conditionsAnswer({ runs, marks }: Reviewed): ConditionsAnswer {
  return reviewConditions(ownRuns(runs), REVIEW_CONDITIONS, marks);
}

/** @throws AppError `run-unknown`; `run-not-bad` where there is nothing to explain */
export function badRunView({ runs, warnings }: Reviewed, over: ConditionsAnswer, id: string): BadRunView {
  const found = runs.find(({ run }) => run.id === id);
  if (found === undefined)
    throw new AppError(
      "run-unknown",
      "None of the runs that are looked at has this id: it may be an older one, a simulated one beside real ones, or from another journal.",
    );
  const { run, coolantRange } = found;
  if (run.through !== false) throw new AppError("run-not-bad", whyNotBad(run));
  return {
    answer: reviewBadRun(ownRuns(runs), id, over, REVIEW_CONDITIONS),
    about: badRunRow(found),
    ...{ coolantRange, warnings },
  };
}

function whyNotBad({ name, through }: ReviewRun): string {
  return through === true
    ? `${name} was cut through: there is nothing to explain.`
    : `Nobody has told whether ${name} was cut through: grade “Cut through” of its specimen first.`;
}

/**
 * @param costsOf the costs of two stocks by the plan that compares them
 * @throws AppError `stock-unknown`; `request-invalid` for the same stock twice
 */
export function materialsView(
  { runs, warnings }: Reviewed,
  names: { readonly first: string; readonly second: string },
  costsOf: (first: Stock, second: Stock) => StockCosts | null,
): MaterialsView {
  const own = ownRuns(runs);
  const stocks = stocksOf(judged(runs));
  const [first, second] = [stockCalled(stocks, names.first), stockCalled(stocks, names.second)];
  if (names.first === names.second)
    throw new AppError("request-invalid", "The two stocks are one and the same: choose another.", [
      { path: "second", expected: "another stock than the first" },
    ]);
  return {
    answer: reviewMaterials(own, first, second, REVIEW_CONDITIONS),
    costs: costsOf(first, second),
    stocks: stockRows(stocks),
    warnings,
  };
}

/** @throws AppError `stock-unknown` */
export function driftView({ runs, marks, warnings }: Reviewed, reference: string): DriftView {
  const own = ownRuns(runs);
  const stocks = stocksOf(judged(runs));
  return {
    answer: reviewDrift(own, stockCalled(stocks, reference), marks),
    stocks: stockRows(stocks),
    warnings,
  };
}

export function rowsView({ runs, marks, warnings }: Reviewed): ReviewRows {
  return {
    runs: runs.length,
    names: runs.map(({ run }) => run.name),
    rows: reviewRows(ownRuns(runs), REVIEW_CONDITIONS, marks),
    warnings,
  };
}

function ownRuns(runs: readonly ReviewedRun[]): ReviewRun[] {
  return runs.map(({ run }) => run);
}

/** A stock of which no outcome is known cannot be asked about. */
function judged(runs: readonly ReviewedRun[]): ReviewRun[] {
  return ownRuns(runs).filter(({ through }) => through !== null);
}

function isBad({ run }: ReviewedRun): boolean {
  return run.through === false;
}

function badRunRow({ run, past }: ReviewedRun): BadRunRow {
  const { id, name, wall, material, lot, speed_mm_s, power_pct, passes } = run;
  return { id, name, wall, material, lot, speed_mm_s, power_pct, passes, past };
}

function stockRows(stocks: readonly Stock[]): StockRow[] {
  return stocks.map(({ name, n }) => ({ name, n }));
}

function stockCalled(stocks: readonly Stock[], name: string): Stock {
  const stock = stocks.find((each) => each.name === name);
  if (stock === undefined)
    throw new AppError("stock-unknown", `Nothing that was cut is called “${name}”: choose one of the list.`);
  return stock;
}
