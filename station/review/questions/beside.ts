import type { Conditions } from "../../model/review.js";
import { correlationRatio, mean } from "../moments.js";
import type { JudgedRun } from "./base.js";
import { type Course, conditionCourse } from "./together.js";

/** How a condition lay between two stocks. */
export interface Imbalance {
  readonly course: Course;
  /** The mean for the second stock less that for the first. */
  readonly shift: number;
  readonly firstMean: number;
  readonly secondMean: number;
  /** How far it changed with the stock: 0 for not at all, 1 for with nothing else. */
  readonly closeness: number;
  /** Whether it is known in enough runs of both to be judged by. */
  readonly isKnown: boolean;
}

/** From here on stock and condition cannot be told apart: hardly a run of one lies where those of the other do. */
export const CONFOUNDED = 0.7;
/** From here on it is taken into account. */
export const UNEVEN = 0.2;
/** Runs of the rarer outcome to a condition that is taken into account (P. Peduzzi and others, 1996, ask for ten; from memory). */
const RUNS_EACH = 5;
/** Where it is known in fewer, taking it into account would cost more runs than it is worth. */
const LEAST_KNOWN = 0.7;
const LEAST_OF_EACH = 3;

/** Of every condition that is known for both stocks and changed at all, the most uneven first. */
export function imbalances(
  runs: readonly JudgedRun[],
  isSecond: (run: JudgedRun) => boolean,
  conditions: Conditions,
): Imbalance[] {
  return Object.entries(conditions)
    .flatMap(([id, facts]): Imbalance[] => {
      const course = conditionCourse(id, facts);
      const known = runs.filter((run) => course.of(run) !== null);
      const value = (run: JudgedRun) => course.of(run) as number;
      const [firsts, seconds] = [
        known.filter((run) => !isSecond(run)).map(value),
        known.filter(isSecond).map(value),
      ];
      if (firsts.length === 0 || seconds.length === 0) return [];
      const [firstMean, secondMean] = [mean(firsts), mean(seconds)];
      const all = known.map(value);
      if (all.every((each) => each === all[0])) return [];
      const shift = secondMean - firstMean;
      return [
        {
          ...{ course, shift, firstMean, secondMean },
          closeness: correlationRatio(firsts, seconds),
          isKnown:
            known.length >= LEAST_KNOWN * runs.length &&
            Math.min(firsts.length, seconds.length) >= LEAST_OF_EACH,
        },
      ];
    })
    .sort((a, b) => b.closeness - a.closeness);
}

/** Those that are taken into account: uneven, known in most runs, and no more than the runs can bear. They are chosen without a look at outcomes. */
export function takenInto(all: readonly Imbalance[], runs: readonly JudgedRun[]): Imbalance[] {
  const through = runs.filter((run) => run.through).length;
  const most = Math.max(1, Math.floor(Math.min(through, runs.length - through) / RUNS_EACH));
  return all.filter(({ closeness, isKnown }) => closeness >= UNEVEN && isKnown).slice(0, most);
}
