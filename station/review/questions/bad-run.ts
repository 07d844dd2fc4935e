import type {
  BadRunAnswer,
  ConditionAnswer,
  ConditionFacts,
  Conditions,
  ConditionsAnswer,
  ConditionVerdict,
  ReviewRun,
  RunConditionAnswer,
} from "../../model/review.js";
import { type ConformalPlace, conformalPlace } from "../conformal.js";
import { badRunSentence, placeWords } from "./bad-run-words.js";
import { baseOf } from "./base.js";
import { type Chance, chancesOf, type Doing, doingsOf } from "./chance.js";
import { comparableTo, type GoodRuns, goodRunsOf } from "./comparable.js";
import { offFrom } from "./condition-words.js";
import { withoutCopies } from "./copies.js";
import { inTen, measured, pWords } from "./figure-words.js";
import { conditionCourse, conditionOf, distanceFrom } from "./together.js";

const METHOD =
  "rank among comparable good runs (conformal p), and how often such a piece fails with the condition as it was and as it usually is, by the model over all runs";
const ODD = 0.05;
/** Shares of a failure that come of a condition: from here on it explains it, and from there it played a part. */
const MOST_OF_IT = 0.5;
const PART_OF_IT = 0.2;
/** In the middle of the good ones: at least two fifths of them on either side would be as far out. */
const MIDDLE = 0.4;
const LEAST_MIDDLE = 5;
/** Of what the good ones span: so far outside them nothing was ever seen to go through. */
const FAR = 1.5;
/** Fewer span too little by chance. */
const LEAST_FAR = 8;

/**
 * Question one of one run that was not cut through: each condition's place among comparable good runs, and whether what the condition
 * does over all runs makes this one bad: such a piece then fails at least twice as often as with the condition as usual.
 * @param run its id
 * @param over the answer over the same runs
 * @throws RangeError where no run has this id, or it did not fail
 */
export function reviewBadRun(
  runs: readonly ReviewRun[],
  run: string,
  over: ConditionsAnswer,
  conditions: Conditions,
): BadRunAnswer {
  return badRunReview(runs, over, conditions)(run);
}

/** What is alike for all bad runs of one history. */
interface History {
  readonly over: ConditionsAnswer;
  readonly conditions: Conditions;
  readonly good: GoodRuns;
  readonly chances: ReadonlyMap<string, Chance>;
  /** By condition, of those that matter or may. */
  readonly doings: ReadonlyMap<string, ReadonlyMap<string, Doing>>;
}

/** The same for many runs of one history: what is alike for all is reckoned once. */
export function badRunReview(
  runs: readonly ReviewRun[],
  over: ConditionsAnswer,
  conditions: Conditions,
): (run: string) => BadRunAnswer {
  const base = baseOf(runs);
  const doings = new Map(
    over.conditions.filter(matters).map(({ condition, name, about }) => {
      const course = conditionCourse(condition, { name });
      return [condition, doingsOf(base, about === null ? course : distanceFrom(course, about))];
    }),
  );
  const history = {
    over,
    conditions,
    doings,
    good: goodRunsOf(withoutCopies(runs)),
    chances: chancesOf(base),
  };
  const byId = new Map(runs.map((run) => [run.id, run]));
  return (run) => {
    const bad = byId.get(run);
    if (bad === undefined) throw new RangeError(`No run has the id "${run}".`);
    if (bad.through !== false)
      throw new RangeError(`Only a run that did not go through is explained: not "${run}".`);
    return answerOf(bad, history);
  };
}

function answerOf(bad: ReviewRun, { over, conditions, good, chances, doings }: History): BadRunAnswer {
  const comparable = comparableTo(bad, good);
  const answers = over.conditions.map((whole): RunConditionAnswer => {
    const value = conditionOf(bad, whole.condition);
    const others = comparable.runs.flatMap((run) => conditionOf(run, whole.condition) ?? []);
    const place = value === null || others.length === 0 ? null : conformalPlace(value, others);
    const p = value === null || place === null ? null : oddness(value, others, whole.about, place);
    const facts = conditions[whole.condition] ?? { name: whole.name, unit: whole.unit, decimals: 2 };
    const doing = doings.get(whole.condition)?.get(bad.id) ?? null;
    const found = judged(whole, { value, place, p, doing, facts });
    return {
      ...{ condition: whole.condition, name: whole.name, unit: whole.unit, verdict: found.verdict },
      sentence: sentenceOf(whole.name, found, value, place, facts),
      ...{ value, good: others, placeP: p },
      ...{ estimate: whole.estimate, lower: whole.lower, upper: whole.upper, p: whole.p, n: whole.n },
      method: METHOD,
      warnings: whole.warnings,
    };
  });
  return {
    ...{ run: bad.id, name: bad.name },
    sentence: badRunSentence(bad, answers, chances.get(bad.id) ?? null),
    comparable: comparable.runs.map(({ id, name, speed_mm_s }) => ({ id, name, speed_mm_s })),
    why: comparable.why,
    conditions: answers,
  };
}

function sentenceOf(
  name: string,
  { verdict, why }: { readonly verdict: ConditionVerdict; readonly why: string },
  value: number | null,
  place: ConformalPlace | null,
  facts: ConditionFacts,
): string {
  const where = value === null ? "" : placeWords(value, place, facts);
  return `${name}: ${verdict}. ${[where, why].filter((part) => part !== "").join(" ")}`;
}

/** How odd a run is among the good ones. Of a distance only more is odd: to be nearer than all others is no fault. */
function oddness(
  value: number,
  good: readonly number[],
  about: number | null,
  place: ConformalPlace,
): number | null {
  if (about === null) return place.p;
  const far = Math.abs(value - about);
  const asFar = good.filter((other) => Math.abs(other - about) >= far).length;
  return (asFar + 1) / (good.length + 1);
}

function matters({ verdict }: Pick<ConditionAnswer, "verdict">): boolean {
  return verdict === "explains" || verdict === "may explain";
}

function judged(
  whole: ConditionAnswer,
  {
    value,
    place,
    p,
    doing,
    facts,
  }: {
    readonly facts: ConditionFacts;
    readonly value: number | null;
    readonly place: ConformalPlace | null;
    readonly p: number | null;
    readonly doing: Doing | null;
  },
): { readonly verdict: ConditionVerdict; readonly why: string } {
  if (value === null) return { verdict: "cannot tell", why: "It is not known of this run." };
  if (matters(whole) && doing !== null) return byDoing(whole, doing, facts);
  const outside =
    place === null ? 0 : outsideOf(value, place, { about: whole.about, decimals: facts.decimals });
  if (outside >= FAR && (place?.n ?? 0) >= LEAST_FAR)
    return { verdict: "may explain", why: "It was far outside all that went through." };
  if (p !== null && p <= ODD)
    return {
      verdict: "may explain",
      why: `It stands out here (${pWords(p)}), though over all runs nothing of it was shown.`,
    };
  if (outside > 0)
    return {
      verdict: "cannot tell",
      why: `${place?.n === 1 ? "One good run is" : `${place?.n} good runs are`} too few to tell whether that matters${whole.verdict === "no sign" ? ", and over all runs nothing of it shows" : ""}.`,
    };
  if (whole.verdict === "no sign") return { verdict: "no sign", why: "Over all runs nothing of it shows." };
  if (place !== null && place.n >= LEAST_MIDDLE && (p ?? 0) >= MIDDLE)
    return { verdict: "no sign", why: "It was in the midst of the good ones." };
  return { verdict: "cannot tell", why: place?.warnings[0] ?? "Over all runs nothing can be told of it." };
}

/** By how often such a piece fails as it was, and with the condition as usual: the share of it that comes of the condition. */
function byDoing(
  whole: ConditionAnswer,
  { fails, usually, usual }: Doing,
  facts: ConditionFacts,
): { readonly verdict: ConditionVerdict; readonly why: string } {
  const does = whole.verdict === "explains" ? "matters" : "may matter";
  const share = fails > usually ? 1 - usually / fails : 0;
  const often = `such a piece fails ${inTen(fails)}, and ${inTen(usually)} with it at its usual ${measured(usual, whole.about === null ? facts : offFrom(facts))}`;
  if (share >= MOST_OF_IT) return { verdict: whole.verdict, why: `As it was, ${often}.` };
  if (share >= PART_OF_IT)
    return {
      verdict: "may explain",
      why: `It ${does} over all runs, and played a part here: as it was, ${often}.`,
    };
  if (share >= 0 && fails === usually)
    return { verdict: "no sign", why: `It ${does} over all runs, and here it was as usual.` };
  if (share > 0)
    return {
      verdict: "no sign",
      why: `It ${does} over all runs, and did little here${inTen(fails) === inTen(usually) ? "" : `: as it was, ${often}`}.`,
    };
  return { verdict: "no sign", why: `It ${does} over all runs, and here it was on the good side.` };
}

/**
 * How far a value lies outside all of the good ones, as a share of what they span (of the last decimal, where they span less); 0 inside.
 * Where either way from a value is bad, only further off is outside.
 */
function outsideOf(
  value: number,
  { least, most }: Pick<ConformalPlace, "least" | "most">,
  { about, decimals }: { readonly about: number | null; readonly decimals: number },
): number {
  if (least === null || most === null) return 0;
  if (about !== null && Math.abs(value - about) <= Math.max(Math.abs(least - about), Math.abs(most - about)))
    return 0;
  return Math.max(0, value - most, least - value) / Math.max(most - least, 10 ** -decimals);
}
