import type { Base, JudgedRun } from "./base.js";
import { fitted, shareOf } from "./fitted.js";
import { stockOf } from "./stocks.js";
import type { Course } from "./together.js";

export interface Chance {
  /** 0 to 1: how often pieces like it go through. */
  readonly share: number;
  /** Runs that it was told from. */
  readonly n: number;
}

/**
 * How often pieces go through by their setting and stock alone, all conditions taken together.
 * @returns by the id of each run that is judged; none where all came out alike or the setting never changed
 */
export function chancesOf(base: Base): ReadonlyMap<string, Chance> {
  const fit = fitted(base, []);
  if (fit === null) return new Map();
  return new Map(
    fit.runs.map(({ id }, row) => [id, { share: shareOf(fit.logits[row] as number), n: fit.runs.length }]),
  );
}

/** What a condition did to one run. */
export interface Doing {
  /** 0 to 1: how often pieces like it fail, with the condition as it was. */
  readonly fails: number;
  /** The same with the condition as it usually is for its stock, all else as it was. */
  readonly usually: number;
  /** That usual value. */
  readonly usual: number;
}

/**
 * What a condition did to each run: the usual reckoning of what would have failed all the same (the attributable share; P. Cole and B.
 * MacMahon, 1971; from memory).
 * @returns by id, for runs in which it is known
 */
export function doingsOf(base: Base, course: Course): ReadonlyMap<string, Doing> {
  const fit = fitted(base, [course]);
  if (fit === null) return new Map();
  const medians = mediansOf(fit.runs, course);
  return new Map(
    fit.runs.map((run, row) => {
      const logit = fit.logits[row] as number;
      const usual = medians.get(stockOf(run)) as number;
      const away = (course.of(run) as number) - usual;
      const usually = logit - fit.coefficient(course.id) * away;
      return [run.id, { fails: 1 - shareOf(logit), usually: 1 - shareOf(usually), usual }];
    }),
  );
}

function mediansOf(runs: readonly JudgedRun[], course: Course): ReadonlyMap<string, number> {
  const values = new Map<string, number[]>();
  for (const run of runs) {
    const its = values.get(stockOf(run)) ?? [];
    its.push(course.of(run) as number);
    values.set(stockOf(run), its);
  }
  return new Map(
    [...values].map(([stock, its]) => {
      const sorted = its.sort((a, b) => a - b);
      const [one, other] = [sorted[(sorted.length - 1) >> 1] as number, sorted[sorted.length >> 1] as number];
      return [stock, (one + other) / 2];
    }),
  );
}
