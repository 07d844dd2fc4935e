import type { Limited } from "../../model/limited.js";
import { counted } from "../counted.js";
import { fieller } from "../fieller.js";
import { type FirthFit, fitFirth } from "../firth.js";
import { firthCovariance } from "../firth-covariance.js";
import { firthLimits } from "../firth-limits.js";
import { firthTest } from "../firth-test.js";
import { normalQuantile } from "../normal.js";
import { type Base, type JudgedRun, SPEED } from "./base.js";
import { termsWith } from "./fitted.js";
import { type Course, knownIn } from "./together.js";

/** What one condition does beside speed and stock, over the runs in which it is known. */
export interface Effect {
  readonly id: string;
  readonly runs: readonly JudgedRun[];
  readonly missing: number;
  /** Why nothing can be told; null where it can. */
  readonly untold: string | null;
  /** Of the penalised likelihood-ratio test, by itself. */
  readonly p: number | null;
  /** Change of the logit for each unit. */
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly standardError: number | null;
  /** Change of the logit for each unit of log speed: below 0 where faster is harder. */
  readonly slope: number | null;
  /** Change of the logarithm of the fastest speed for each unit; null where speed has not shown what it does. */
  readonly perUnit: Limited | null;
  /** Its 10th and 90th place in 100, or its very ends where hardly any run differs from the rest. */
  readonly low: number | null;
  readonly high: number | null;
  readonly warnings: readonly string[];
}

const CONFIDENCE = 0.95;
/** Of each outcome: with fewer nothing can be told of what divides them. */
const LEAST_OF_EACH = 2;
const LEAST_OTHER = 3;
/** Of what was seen. */
const LEAST_SPAN = 0.1;

/**
 * One condition at a time: with six in one fit and few runs nothing would be left to see any of them by (`npm run bench -- truth`).
 * @param beside those that are known to matter, which take their part of the spread away
 */
export function effectOf(base: Base, course: Course, beside: readonly Course[] = []): Effect {
  const all = [...beside, course];
  const runs = knownIn(base.runs, all);
  const values = runs.map((run) => course.of(run) as number);
  const sorted = [...values].sort((a, b) => a - b);
  const [low, high] = endsOf(sorted);
  const missing = base.runs.filter((run) => course.of(run) === null).length;
  const about = { id: course.id, runs, missing, low, high };
  const nothing = {
    ...{ p: null, estimate: null, lower: null, upper: null, standardError: null, slope: null },
    ...{ perUnit: null, warnings: [] },
  };
  const untold = whyUntold(base.runs.length, runs, values);
  if (untold !== null) return { ...about, ...nothing, untold };
  const fit = fitWith(base, runs, all);
  const test = firthTest(fit, [course.id]);
  if (test.p === null)
    return {
      ...about,
      ...nothing,
      untold: "It cannot be told from speed and stock, with which it always changed.",
    };
  const { estimate, lower, upper } = firthLimits(fit, course.id, CONFIDENCE);
  const of = (term: string) => fit.coefficients.find((one) => one.term === term);
  return {
    ...about,
    ...{ untold: null, p: test.p, estimate, lower, upper },
    standardError: of(course.id)?.standardError ?? null,
    slope: of(SPEED)?.estimate ?? null,
    perUnit: perUnitOf(fit, course.id),
    warnings: fit.warnings.filter((warning) => warning.startsWith("The terms divide")),
  };
}

/** The p of a condition beside others; null where that cannot be told. */
export function pBeside(base: Base, course: Course, others: readonly Course[]): number | null {
  const all = [...others, course];
  const runs = knownIn(base.runs, all);
  return runs.length === 0 ? null : firthTest(fitWith(base, runs, all), [course.id]).p;
}

/** The p of several together; null where that cannot be told. */
export function pTogether(
  base: Base,
  courses: readonly Course[],
): { readonly p: number | null; readonly n: number } {
  const runs = knownIn(base.runs, courses);
  if (runs.length === 0) return { p: null, n: 0 };
  return {
    p: firthTest(
      fitWith(base, runs, courses),
      courses.map(({ id }) => id),
    ).p,
    n: runs.length,
  };
}

/**
 * The change of the logit that so many runs would show with a chance of 4 in 5, from the low to the high end.
 * @param tests how many are made: as the first of Holm's steps asks
 */
export function detectableOf({ standardError, low, high }: Effect, tests: number): number | null {
  if (standardError === null || low === null || high === null) return null;
  return (
    (normalQuantile(1 - (1 - CONFIDENCE) / 2 / tests) + normalQuantile(0.8)) * standardError * (high - low)
  );
}

/** What a change of a condition does to the fastest speed, as shares of it: −0.08 for 8 % slower, the smaller limit first. */
export function changeOfSpeed({ perUnit }: Effect, change: number): Limited {
  const share = (each: number | null | undefined) => (each == null ? null : Math.expm1(each * change));
  const [estimate, one, other] = [share(perUnit?.estimate), share(perUnit?.lower), share(perUnit?.upper)];
  const inOrder =
    one === null || other === null
      ? { lower: one, upper: other }
      : change < 0
        ? { lower: other, upper: one }
        : { lower: one, upper: other };
  return { estimate, ...inOrder };
}

function perUnitOf(fit: FirthFit, id: string): Limited | null {
  const of = (term: string) => fit.coefficients.find((one) => one.term === term);
  const [effect, slope] = [of(id), of(SPEED)];
  const covariance = firthCovariance(fit, id, SPEED);
  if (effect?.estimate == null || slope?.estimate == null || covariance === null || slope.estimate >= 0)
    return null;
  const pair = {
    of: effect.estimate,
    over: -slope.estimate,
    ofVariance: (effect.standardError ?? 0) ** 2,
    overVariance: (slope.standardError ?? 0) ** 2,
    covariance: -covariance,
  };
  return fieller(pair, normalQuantile((1 + CONFIDENCE) / 2));
}

/** A share of speed that makes up for a change of the logit: −0.08 for 8 % slower; null where speed has not shown what it does. */
export function ofSpeed(logit: number | null, slope: number | null): number | null {
  return logit === null || slope === null || slope >= 0 ? null : Math.expm1(logit / -slope);
}

function fitWith(base: Base, runs: readonly JudgedRun[], courses: readonly Course[]): FirthFit {
  return fitFirth({
    terms: termsWith(base, runs, courses),
    outcomes: runs.map(({ through }) => through),
  });
}

function whyUntold(all: number, runs: readonly JudgedRun[], values: readonly number[]): string | null {
  if (all === 0) return "There are no runs whose speed and outcome are known.";
  if (runs.length === 0) return "It was never measured.";
  const through = runs.filter((run) => run.through).length;
  if (through === 0) return "No run went through: there are none to hold the bad ones against.";
  if (through === runs.length) return "Every run went through: there is nothing to explain.";
  if (through < LEAST_OF_EACH || runs.length - through < LEAST_OF_EACH)
    return `Only one run ${through < LEAST_OF_EACH ? "went" : "did not go"} through: ${LEAST_OF_EACH} of each are the fewest that can tell anything.`;
  return whyStill(values);
}

/** Where all but one or two runs were alike, it is those runs that would be told of and not the condition. */
function whyStill(values: readonly number[]): string | null {
  const counts = new Map<number, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  const others = values.length - Math.max(...counts.values());
  if (others === 0) return "It was the same in every run.";
  return others < LEAST_OTHER ? `It was the same in all but ${counted(others, "run")}.` : null;
}

/** The 10th and the 90th place in 100; the very ends where hardly any run differs from the rest. */
function endsOf(sorted: readonly number[]): readonly [number | null, number | null] {
  const [low, high] = [quantile(sorted, 0.1), quantile(sorted, 0.9)];
  const [least, most] = [sorted[0] ?? null, sorted.at(-1) ?? null];
  if (low === null || high === null || least === null || most === null) return [null, null];
  return high - low >= LEAST_SPAN * (most - least) ? [low, high] : [least, most];
}

function quantile(sorted: readonly number[], share: number): number | null {
  if (sorted.length === 0) return null;
  const at = share * (sorted.length - 1);
  const [from, to] = [sorted[Math.floor(at)] as number, sorted[Math.ceil(at)] as number];
  return from + (to - from) * (at - Math.floor(at));
}
