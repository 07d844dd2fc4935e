import type {
  BadRunAnswer,
  ConditionAnswer,
  Conditions,
  ConditionsAnswer,
  ConditionVerdict,
  ReviewRun,
  RunConditionAnswer,
} from "../../model/review.js";
import { type ConformalPlace, conformalPlace } from "../conformal.js";
import { type Chance, chancesOf } from "./chance.js";
import { comparableTo, type GoodRuns, goodRunsOf } from "./comparable.js";
import { listed, measured, partOf, pWords, span, times } from "./figure-words.js";
import { conditionOf } from "./together.js";

const METHOD =
  "rank among comparable good runs (conformal p), and what the condition does over all runs (see there)";
/** Of the odds: a condition that took less than this off them is not what made the run bad. */
const HALVED = 0.5;
const ODD = 0.05;
/** In the middle of the good ones: at least two fifths of them on either side would be as far out. */
const MIDDLE = 0.4;
const LEAST_MIDDLE = 5;

/**
 * Question one of one run that was not cut through: each condition's place among comparable good runs, and whether what the condition
 * does over all runs makes this one bad.
 * @param run its id
 * @param over the answer over the same runs
 * @throws RangeError where no run has this id, or it went through
 */
export function reviewBadRun(
  runs: readonly ReviewRun[],
  run: string,
  over: ConditionsAnswer,
  conditions: Conditions,
): BadRunAnswer {
  return badRunReview(runs, over, conditions)(run);
}

/** The same for many runs of one history: what is alike for all is reckoned once. */
export function badRunReview(
  runs: readonly ReviewRun[],
  over: ConditionsAnswer,
  conditions: Conditions,
): (run: string) => BadRunAnswer {
  const chances = chancesOf(runs);
  const good = goodRunsOf(runs);
  const byId = new Map(runs.map((run) => [run.id, run]));
  return (run) => {
    const bad = byId.get(run);
    if (bad === undefined) throw new RangeError(`No run has the id "${run}".`);
    if (bad.through !== false)
      throw new RangeError(`Only a run that did not go through is explained: not "${run}".`);
    return answerOf(bad, good, { over, conditions, chance: chances.get(run) ?? null });
  };
}

function answerOf(
  bad: ReviewRun,
  goodRuns: GoodRuns,
  {
    over,
    conditions,
    chance,
  }: {
    readonly over: ConditionsAnswer;
    readonly conditions: Conditions;
    readonly chance: Chance | null;
  },
): BadRunAnswer {
  const comparable = comparableTo(bad, goodRuns);
  const answers = over.conditions.map((whole): RunConditionAnswer => {
    const value = conditionOf(bad, whole.condition);
    const good = comparable.runs.flatMap((run) => conditionOf(run, whole.condition) ?? []);
    const place = value === null || good.length === 0 ? null : conformalPlace(value, good);
    const judgedBy = value === null || place === null ? null : judgedPlace(value, good, whole.about, place);
    const facts = conditions[whole.condition] ?? { name: whole.name, unit: whole.unit, decimals: 2 };
    const found = judged(whole, judgedBy, value !== null);
    const where = value === null ? "" : placeWords(value, place, facts);
    return {
      ...{ condition: whole.condition, name: whole.name, unit: whole.unit, verdict: found.verdict },
      sentence: `${whole.name}: ${found.verdict}. ${[where, found.why].filter((part) => part !== "").join(" ")}`,
      ...{ value, good, placeP: judgedBy?.p ?? null },
      ...{ estimate: whole.estimate, lower: whole.lower, upper: whole.upper, p: whole.p, n: whole.n },
      method: METHOD,
      warnings: whole.warnings,
    };
  });
  return {
    ...{ run: bad.id, name: bad.name },
    sentence: wholeSentence(bad, answers, chance),
    comparable: comparable.runs.map(({ id, name, speed_mm_s }) => ({ id, name, speed_mm_s })),
    why: comparable.why,
    conditions: answers,
  };
}

/** A run's value among those of the good ones, as the condition was looked at over all runs. */
interface Judged {
  readonly value: number;
  readonly median: number;
  readonly p: number;
  readonly n: number;
  readonly warnings: readonly string[];
}

/** Of a distance only more is odd: to be nearer than all others is no fault. */
function judgedPlace(
  value: number,
  good: readonly number[],
  about: number | null,
  place: ConformalPlace,
): Judged | null {
  if (about === null)
    return place.p === null || place.median === null
      ? null
      : { value, median: place.median, p: place.p, n: place.n, warnings: place.warnings };
  const far = Math.abs(value - about);
  const { median, below, n, warnings } = conformalPlace(
    far,
    good.map((each) => Math.abs(each - about)),
  );
  return median === null ? null : { value: far, median, p: (n - below + 1) / (n + 1), n, warnings };
}

function judged(
  whole: ConditionAnswer,
  place: Judged | null,
  isKnown: boolean,
): { readonly verdict: ConditionVerdict; readonly why: string } {
  if (!isKnown) return { verdict: "cannot tell", why: "It is not known of this run." };
  const matters = whole.verdict === "explains" || whole.verdict === "may explain";
  if (matters && whole.estimate !== null && place !== null) {
    const factor = Math.exp(whole.estimate * (place.value - place.median));
    if (factor <= HALVED)
      return {
        verdict: whole.verdict,
        why: `That left ${partOf(factor)} of the odds of going through. ${whole.sentence}`,
      };
    return {
      verdict: "no sign",
      why: `It ${whole.verdict === "explains" ? "matters" : "may matter"} over all runs, but not here: by it the odds were ${times(factor)} those of the good runs.`,
    };
  }
  if (matters)
    return {
      verdict: whole.verdict === "explains" ? "may explain" : "cannot tell",
      why: `There are no good runs to hold it against. ${whole.sentence}`,
    };
  if (place !== null && place.p <= ODD)
    return {
      verdict: "may explain",
      why: `It stands out here (${pWords(place.p)}), though over all runs nothing of it was shown.`,
    };
  if (whole.verdict === "no sign")
    return { verdict: "no sign", why: "Over all runs there is no sign of it either." };
  if (place !== null && place.n >= LEAST_MIDDLE && place.p >= MIDDLE)
    return { verdict: "no sign", why: "It was in the midst of the good ones." };
  return {
    verdict: "cannot tell",
    why: place?.warnings[0] ?? "Over all runs nothing can be told of it.",
  };
}

function placeWords(value: number, place: ConformalPlace | null, facts: Conditions[string]): string {
  const own = `It was ${measured(value, facts)} here`;
  if (place === null || place.least === null || place.most === null) return `${own}.`;
  const others = `${place.n} good ${place.n === 1 ? "run" : "runs"} had ${span(place.least, place.most, facts)}`;
  const rank =
    place.below === place.n ? ", all of them lower" : place.above === place.n ? ", all of them higher" : "";
  return `${own}; ${others}${rank}.`;
}

function wholeSentence(
  bad: ReviewRun,
  answers: readonly RunConditionAnswer[],
  chance: Chance | null,
): string {
  const of = (verdict: ConditionVerdict) =>
    answers.filter((each) => each.verdict === verdict).map(({ name }) => name);
  const [explains, may] = [of("explains"), of("may explain")];
  const setting =
    chance === null || bad.speed_mm_s === null
      ? ""
      : ` At ${Number(bad.speed_mm_s.toFixed(1))} mm/s ${chanceWords(chance.share)} of this stock go through, whatever the conditions (from ${chance.n} runs).`;
  if (explains.length > 0)
    return `${listed(explains)} ${explains.length > 1 ? "explain" : "explains"} it.${setting}`;
  if (may.length > 0) return `${listed(may)} may explain it; that is not settled.${setting}`;
  if (of("no sign").length === answers.length && answers.length > 0)
    return `There is no sign that any condition explains it.${setting}`;
  return `Nothing that was measured is seen to explain it; of ${listed(of("cannot tell")) || "the conditions"} nothing can be told.${setting}`;
}

function chanceWords(share: number): string {
  if (share < 0.05) return "hardly any pieces";
  if (share > 0.95) return "nearly all pieces";
  return `about ${Math.round(share * 10)} in 10 pieces`;
}
