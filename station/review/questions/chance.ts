import type { ReviewRun } from "../../model/review.js";
import { fitFirth } from "../firth.js";
import { INTERCEPT } from "../intercept.js";
import { baseOf } from "./base.js";

export interface Chance {
  /** 0 to 1: how often pieces like it go through. */
  readonly share: number;
  /** Runs that it was told from. */
  readonly n: number;
}

/**
 * How often pieces go through by their setting and stock alone.
 * @returns by the id of each run that is judged; none where all came out alike or the setting never changed
 */
export function chancesOf(all: readonly ReviewRun[]): ReadonlyMap<string, Chance> {
  const { runs, termsOf } = baseOf(all);
  const through = runs.filter((run) => run.through).length;
  if (through === 0 || through === runs.length) return new Map();
  const terms = termsOf(runs);
  const { coefficients } = fitFirth({ terms, outcomes: runs.map((run) => run.through) });
  if (coefficients.some(({ estimate }) => estimate === null)) return new Map();
  const valuesOf = new Map(terms.map(({ name, values }) => [name, values]));
  return new Map(
    runs.map(({ id }, row) => {
      const logit = coefficients.reduce(
        (sum, { term, estimate }) =>
          sum + (estimate as number) * (term === INTERCEPT ? 1 : (valuesOf.get(term)?.[row] as number)),
        0,
      );
      return [id, { share: 1 / (1 + Math.exp(-logit)), n: runs.length }];
    }),
  );
}
