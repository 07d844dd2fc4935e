import { fitFirth } from "../firth.js";
import type { FirthTerm } from "../firth-design.js";
import { INTERCEPT } from "../intercept.js";
import type { Base, JudgedRun } from "./base.js";
import { type Course, knownIn } from "./together.js";

/** A fit of some runs by setting, stock and courses. */
export interface Fitted {
  readonly runs: readonly JudgedRun[];
  /** Of each run. */
  readonly logits: readonly number[];
  readonly coefficient: (id: string) => number;
  /** How many coefficients it has. */
  readonly size: number;
}

/** What every fit has, and courses beside it. @param runs in which all of them are known */
export function termsWith(base: Base, runs: readonly JudgedRun[], courses: readonly Course[]): FirthTerm[] {
  return [
    ...base.termsOf(runs),
    ...courses.map((course) => ({ name: course.id, values: runs.map((run) => course.of(run) as number) })),
  ];
}

/** @returns null where something in it cannot be told, or nothing is left to fit */
export function fitted(base: Base, courses: readonly Course[]): Fitted | null {
  const runs = knownIn(base.runs, courses);
  const through = runs.filter((run) => run.through).length;
  if (through === 0 || through === runs.length) return null;
  const terms = termsWith(base, runs, courses);
  const { coefficients } = fitFirth({ terms, outcomes: runs.map((run) => run.through) });
  const told = new Map<string, number>();
  for (const { term, estimate } of coefficients) {
    if (estimate === null) return null;
    told.set(term, estimate);
  }
  const coefficient = (id: string) => told.get(id) ?? 0;
  const logits = runs.map((_, row) =>
    terms.reduce(
      (sum, { name, values }) => sum + coefficient(name) * (values[row] as number),
      coefficient(INTERCEPT),
    ),
  );
  return { runs, logits, coefficient, size: told.size };
}

/** The share that a logit stands for: 0 to 1. */
export function shareOf(logit: number): number {
  return 1 / (1 + Math.exp(-logit));
}
