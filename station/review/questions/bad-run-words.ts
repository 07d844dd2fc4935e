import type { ConditionFacts, ConditionVerdict, ReviewRun, RunConditionAnswer } from "../../model/review.js";
import type { ConformalPlace } from "../conformal.js";
import { counted } from "../counted.js";

import type { Chance } from "./chance.js";
import { begun, inSentence, inTen, listed, measured, span } from "./figure-words.js";

/** Of pieces cut like one: where so few go through at all, it is the setting that made it bad. */
const HARDLY = 0.2;

/** A run's value beside those of the good ones. */
export function placeWords(value: number, place: ConformalPlace | null, facts: ConditionFacts): string {
  const own = `It was ${measured(value, facts)} here`;
  if (place === null || place.least === null || place.most === null) return `${own}.`;
  const others = `${counted(place.n, "good run")} had ${span(place.least, place.most, facts)}`;
  const rank =
    place.below === place.n ? ", all of them lower" : place.above === place.n ? ", all of them higher" : "";
  return `${own}; ${others}${place.n > 1 ? rank : ""}.`;
}

/** The plain answer: the setting first where hardly any such piece goes through, then the conditions. */
export function badRunSentence(
  bad: ReviewRun,
  answers: readonly RunConditionAnswer[],
  chance: Chance | null,
): string {
  const setting =
    chance === null || bad.speed_mm_s === null
      ? ""
      : `At ${Number(bad.speed_mm_s.toFixed(1))} mm/s pieces of this stock fail ${inTen(1 - chance.share)}, over all the conditions that were seen (${counted(chance.n, "run")}).`;
  const conditions = conditionsWords(answers);
  if (chance !== null && chance.share <= HARDLY)
    return `It was cut too fast for this stock. ${setting} ${conditions}`;
  // What the conditions did is told by itself, each against its usual value: another yardstick beside it would only confuse.
  const isTold = answers.some(({ verdict }) => verdict === "explains" || verdict === "may explain");
  return isTold ? conditions : `${conditions} ${setting}`.trim();
}

function conditionsWords(answers: readonly RunConditionAnswer[]): string {
  const of = (verdict: ConditionVerdict) =>
    answers.filter((each) => each.verdict === verdict).map(({ name }) => name);
  const [explains, may] = [of("explains"), of("may explain")];
  if (explains.length > 0)
    return `${begun(listed(explains.map(inSentence)))} ${explains.length > 1 ? "explain" : "explains"} it.`;
  if (may.length > 0) return `${begun(listed(may.map(inSentence)))} may explain it; that is not settled.`;
  if (of("no sign").length === answers.length && answers.length > 0)
    return "There is no sign that any condition explains it.";
  const untold = of("cannot tell").map(inSentence);
  return `Nothing that was measured is seen to explain it; of ${listed(untold) || "the conditions"} nothing can be told.`;
}
