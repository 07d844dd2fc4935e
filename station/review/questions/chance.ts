import type { ReviewRun } from "../../model/review.js";
import { fitFirth } from "../firth.js";
import { INTERCEPT } from "../intercept.js";
import { baseOf } from "./base.js";

/**
 * How often pieces like one go through by its setting and stock alone.
 * @returns null where that cannot be told: the run is none of those that are judged, or all came out alike
 */
export function chanceOf(
  run: ReviewRun,
  all: readonly ReviewRun[],
): { readonly share: number; readonly n: number } | null {
  const base = baseOf(all);
  const row = base.runs.findIndex(({ id }) => id === run.id);
  const through = base.runs.filter((each) => each.through).length;
  if (row < 0 || through === 0 || through === base.runs.length) return null;
  const terms = base.termsOf(base.runs);
  const fit = fitFirth({ terms, outcomes: base.runs.map((each) => each.through) });
  let logit = 0;
  for (const { term, estimate } of fit.coefficients) {
    const value = term === INTERCEPT ? 1 : (terms.find(({ name }) => name === term)?.values[row] as number);
    if (estimate === null) return null;
    logit += estimate * value;
  }
  return { share: 1 / (1 + Math.exp(-logit)), n: base.runs.length };
}
