import { groupedBy } from "../grouped.js";
import { median } from "../moments.js";
import type { Base, JudgedRun } from "./base.js";
import { fitted, shareOf } from "./fitted.js";
import type { Course } from "./together.js";

/** Runs: of fewer no value is the usual one. */
const FEWEST = 5;

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
  /** The same with the condition as it usually is for its stock (or material, where it has few runs), all else as it was. */
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
  const usualFor = usualOf(base, fit.runs, course);
  return new Map(
    fit.runs.map((run, row) => {
      const logit = fit.logits[row] as number;
      const usual = usualFor(run);
      const away = (course.of(run) as number) - usual;
      const usually = logit - fit.coefficient(course.id) * away;
      return [run.id, { fails: 1 - shareOf(logit), usually: 1 - shareOf(usually), usual }];
    }),
  );
}

/** Of each stock; of its material, or of all, where it has too few runs to have a usual value. */
function usualOf(base: Base, runs: readonly JudgedRun[], course: Course): (run: JudgedRun) => number {
  const circles = [base.stockKey, ({ material }: JudgedRun) => material ?? ""].map((keyOf) => ({
    keyOf,
    medians: new Map(
      [...groupedBy(runs, keyOf)].flatMap(([key, its]) =>
        its.length < FEWEST ? [] : [[key, medianOf(its, course)] as const],
      ),
    ),
  }));
  const whole = medianOf(runs, course);
  return (run) =>
    circles.map(({ keyOf, medians }) => medians.get(keyOf(run))).find((one) => one !== undefined) ?? whole;
}

function medianOf(runs: readonly JudgedRun[], course: Course): number {
  return median(runs.map((run) => course.of(run) as number)) as number;
}
