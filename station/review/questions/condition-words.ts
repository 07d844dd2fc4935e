import type { ConditionFacts } from "../../model/review.js";
import { counted } from "../counted.js";

import type { Concluded } from "./condition-verdict.js";
import { changeOfSpeed, type Effect, ofSpeed } from "./effect.js";
import { inSentence, listed, perCent, pWords, span, times } from "./figure-words.js";

/** Shares of speed beyond which they say no more than that it is much. */
const LEAST_SHARE = -0.9;
const MOST_SHARE = 3;
/** Shown as per cent it would be nothing. */
const SMALLEST = 0.005;

/** What is concluded of a condition, in one or two sentences with its numbers. */
export function conditionSentence(
  { effect, verdict, p, with: others, hidden, detectable, about, doubt }: Concluded,
  { name, ...shown }: ConditionFacts,
  names: (ids: readonly string[]) => string[],
): string {
  const { untold, low, high, slope, runs } = effect;
  const n = counted(runs.length, "run");
  if (untold !== null || low === null || high === null || effect.p === null || p === null)
    return `${name}: cannot tell. ${untold ?? ""}`.trim();
  const range = span(low, high, about === null ? shown : offFrom(shown));
  const does = effectWords(effect, high - low);
  const within = (...figures: string[]) =>
    `(${[does.limits, ...figures].filter((part) => part !== "").join("; ")})`;
  const share = detectable === null ? null : ofSpeed(-detectable, slope);
  const unseen =
    detectable === null
      ? ""
      : share === null
        ? `an effect of ${times(Math.exp(detectable))} the odds`
        : `an effect of ${perCent(share)} of speed`;
  switch (verdict) {
    case "explains":
      return `${name} has to do with what goes through: from ${range} ${does.words} ${within(n, pWords(p))}.`;
    case "may explain":
      if (others.length > 0)
        return `${name} moved together with ${listed(names(others).map(inSentence))}: one of them may have to do with it, and which cannot be told (${n}).`;
      if (doubt !== null)
        return `${name} may have to do with what goes through: from ${range} ${does.words} ${within(n, pWords(p))}. But ${doubt}.`;
      if (hidden.length > 0)
        return `${name} may have to do with what goes through: from ${range} ${does.words} ${within(n)}. But it cannot be told from ${listed(names(hidden).map(inSentence))}, which changed with it.`;
      return `${name} may have to do with what goes through: from ${range} ${does.words} ${within(n, p === effect.p ? pWords(p) : `${pWords(effect.p)} by itself, ${pWords(p)} among all that were looked at`)}.`;
    case "no sign":
      return `${name}: no sign. No effect was seen from ${range}; ${unseen} or more would mostly have shown in ${n}.`;
    case "cannot tell":
      return `${name}: cannot tell. No effect was seen from ${range}, and only ${unseen} or more would mostly have shown in ${n}.`;
  }
}

/** What going from low to high does. */
function effectWords(effect: Effect, range: number): { readonly words: string; readonly limits: string } {
  const { estimate, lower, upper } = changeOfSpeed(effect, range);
  if (
    estimate !== null &&
    estimate > LEAST_SHARE &&
    estimate < MOST_SHARE &&
    Math.abs(estimate) >= SMALLEST
  ) {
    const limits =
      lower === null || upper === null
        ? "how much at most cannot be told"
        : lower < 0 && upper < 0
          ? `limits ${perCent(upper)} to ${perCent(lower)}`
          : lower > 0 && upper > 0
            ? `limits ${perCent(lower)} to ${perCent(upper)}`
            : `limits ${perCent(lower)} less to ${perCent(upper)} more`;
    const words =
      estimate < 0
        ? `a cut wants about ${perCent(estimate)} less speed`
        : `a cut bears about ${perCent(estimate)} more speed`;
    return { words, limits };
  }
  const logit = (effect.estimate ?? 0) * range;
  const way = logit < 0 ? "fall" : "rise";
  return {
    words: `the odds of going through ${way} to ${times(Math.exp(logit))} what they were`,
    limits: "",
  };
}

/** Of a distance: "0.30 mm off". */
export function offFrom(facts: Omit<ConditionFacts, "name">): Omit<ConditionFacts, "name"> {
  return { ...facts, unit: `${facts.unit} off`.trim() };
}
