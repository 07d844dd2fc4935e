import type {
  ConditionAnswer,
  ConditionFacts,
  Conditions,
  ConditionsAnswer,
  ReviewMark,
  ReviewRun,
} from "../../model/review.js";
import { counted } from "../counted.js";
import { type Base, baseOf, SPEED } from "./base.js";
import { type Concluded, conclude } from "./condition-verdict.js";
import { conditionSentence } from "./condition-words.js";
import { changeOfSpeed } from "./effect.js";
import { togetherOf } from "./experiment.js";
import { begun, inSentence, listed } from "./figure-words.js";
import { fitted } from "./fitted.js";
import { nextCuts } from "./next-cut.js";
import { isNotedByOutcome } from "./noted.js";
import { conditionCourse, otherCourses } from "./together.js";

const CONDITIONS_METHOD =
  "logistic regression with Firth's penalty of cut-through on log speed, stock and one condition at a time; penalised likelihood-ratio tests, p values by Holm over the conditions; profile limits of 95 %, each by itself";

/**
 * Question one over all runs: what the conditions have to do with cuts that did not go through. Simulated histories with known truth
 * say how often it is wrong, and what it finds (`npm run bench -- truth`).
 * @param runs in any order; what is not known of one is not filled in
 * @param conditions by id; the runs may have others
 * @param marks upkeep, in any order
 */
export function reviewConditions(
  runs: readonly ReviewRun[],
  conditions: Conditions,
  marks: readonly ReviewMark[],
): ConditionsAnswer {
  const base = baseOf(runs);
  const bad = base.runs.filter(({ through }) => !through).length;
  const courses = Object.entries(conditions).map(([id, facts]) => conditionCourse(id, facts));
  const others = otherCourses(base.runs, marks);
  const { concluded, groups } = conclude(base, courses, others);
  const nameOf = new Map([...courses, ...others].map(({ id, name }) => [id, name]));
  const names = (ids: readonly string[]) => ids.map((id) => nameOf.get(id) ?? id);
  const answers = concluded.map((one) =>
    answerOf(base, one, conditions[one.effect.id] as ConditionFacts, names),
  );
  return {
    n: base.runs.length,
    bad,
    conditions: answers,
    sentence: whole(answers, base.runs.length, bad),
    together: groups.map((group) => togetherOf(base, group, concluded, names)),
    next: nextCuts(base, concluded, conditions),
    warnings: [...base.warnings, ...base.stockWarnings, ...faster(base)],
  };
}

function answerOf(
  base: Base,
  one: Concluded,
  facts: ConditionFacts,
  names: (ids: readonly string[]) => string[],
): ConditionAnswer {
  const { effect, verdict, detectable, about } = one;
  const { id, estimate, lower, upper, low, high, missing, runs } = effect;
  const share = low === null || high === null ? null : changeOfSpeed(effect, high - low);
  const warnings = [...effect.warnings];
  if (missing > 0 && runs.length > 0)
    warnings.push(`Not known in ${counted(missing, "run")}, which it says nothing of.`);
  if (runs.length > 0 && isNotedByOutcome(base, one.course))
    warnings.push(
      "It was not noted as often for good runs as for bad ones: what it seems to do may come of that.",
    );
  return {
    condition: id,
    ...{ name: facts.name, unit: facts.unit, verdict, about },
    sentence: conditionSentence(one, facts, names),
    ...{ estimate, lower, upper, p: one.p, n: runs.length },
    ofSpeed: share?.estimate ?? null,
    ofSpeedLimits:
      share === null || share.lower === null || share.upper === null
        ? null
        : { lower: share.lower, upper: share.upper },
    ...{ low, high, missing },
    detectable: detectable === null ? null : finite(Math.exp(detectable)),
    with: one.with,
    method: CONDITIONS_METHOD,
    warnings,
  };
}

/** A slip in the columns shows here first. */
function faster(base: Base): string[] {
  const slope = fitted(base, [])?.coefficient(SPEED) ?? 0;
  return slope > 0
    ? ["Faster cuts went through more often than slower ones: look whether speeds and outcomes are right."]
    : [];
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

function whole(answers: readonly ConditionAnswer[], n: number, bad: number): string {
  if (n === 0) return "There are no runs whose speed and outcome are known: nothing can be told.";
  const all = n === 1 ? "The only run" : `All ${n} runs`;
  if (bad === 0) return `${all} went through: there is nothing to explain.`;
  if (bad === n)
    return `${n === 1 ? "The only run did not go" : `None of ${n} runs went`} through: there are no good ones to hold ${n === 1 ? "it" : "them"} against.`;
  const of = (verdict: string) => answers.filter((each) => each.verdict === verdict).map(({ name }) => name);
  const [explains, may, none, untold] = [of("explains"), of("may explain"), of("no sign"), of("cannot tell")];
  const said: string[] = [];
  if (explains.length > 0)
    said.push(
      `${begun(listed(explains.map(inSentence)))} ${explains.length > 1 ? "have" : "has"} to do with what goes through.`,
    );
  if (may.length > 0)
    said.push(
      `${begun(listed(may.map(inSentence)))} may have to do with ${explains.length > 0 ? "it too" : "what goes through"}; that is not settled.`,
    );
  if (none.length > 0)
    said.push(
      `There is no sign that ${listed(none.map(inSentence))} ${none.length > 1 ? "matter" : "matters"}.`,
    );
  if (untold.length > 0) said.push(`Of ${listed(untold.map(inSentence))} nothing can be told.`);
  return `${bad} of ${counted(n, "run")} did not go through. ${said.join(" ")}`;
}
