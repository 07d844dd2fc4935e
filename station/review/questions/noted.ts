import { exactOddsRatio } from "../exact-table.js";
import type { Base } from "./base.js";
import type { Course } from "./together.js";

const LEVEL = 0.05;

/** Whether a condition is missing rather from bad runs or rather from good ones, by R. A. Fisher's exact test: what was noted because a cut failed is no fair sample. */
export function isNotedByOutcome({ runs }: Base, course: Course): boolean {
  const count = (through: boolean, known: boolean) =>
    runs.filter((run) => run.through === through && (course.of(run) !== null) === known).length;
  const [firstHits, firstMisses] = [count(false, true), count(false, false)];
  const [secondHits, secondMisses] = [count(true, true), count(true, false)];
  if (firstMisses + secondMisses === 0) return false;
  return (exactOddsRatio([{ firstHits, firstMisses, secondHits, secondMisses }]).p ?? 1) <= LEVEL;
}
