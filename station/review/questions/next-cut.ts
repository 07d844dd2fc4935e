import type { Conditions, NextCut } from "../../model/review.js";
import { normalQuantile } from "../normal.js";
import type { Base } from "./base.js";
import type { Concluded } from "./condition-verdict.js";
import { offFrom } from "./condition-words.js";
import { inSentence, measured } from "./figure-words.js";
import { termsWith } from "./fitted.js";
import { type HalfCut, halfCuts, nearerWords, newestOf, settingWords } from "./half-cut.js";
import { stockName } from "./stocks.js";

/** Of the odds' logarithm: a whole range of a condition that does less is hardly worth an experiment. */
const LEAST_EFFECT = 1.5;
const MOST_EFFECT = 4;
/** Doubts that are worth a cut of their own. */
const MOST_SHOWN = 3;
/** A gain below is not worth saying. */
const LEAST_GAIN = 0.005;

/**
 * The cut that would most narrow what is known of each condition in doubt, the most telling doubt first: at one of the ends of what was
 * seen, at the speed that goes through every other time there.
 */
export function nextCuts(base: Base, concluded: readonly Concluded[], conditions: Conditions): NextCut[] {
  return (
    concluded
      // Of what moved together one cut at an end tells nothing apart: that wants the experiment.
      .filter(({ with: others }) => others.length === 0)
      .filter(({ verdict }) => verdict === "may explain" || verdict === "cannot tell")
      .flatMap((one) => {
        const found = bestEnd(base, one);
        const facts = conditions[one.effect.id];
        if (found === null || facts === undefined || found.gain < LEAST_GAIN) return [];
        const { at, speed, gain } = found;
        const newest = newestOf(one.effect.runs);
        const where = one.about === null ? `at ${measured(at, facts)}` : measured(at, offFrom(facts));
        const sentence = `One cut of ${stockName(newest)} at ${speed.toFixed(1)} mm/s${settingWords(newest)}, with ${inSentence(facts.name)} ${where}, would bring the limits of what it does ${nearerWords(gain)}; ${piecesToTell([one])} cuts, half at each end of what it was, would mostly settle it.`;
        return [{ sentence, gain, p: one.effect.p ?? 1 }];
      })
      .sort((a, b) => a.p - b.p || b.gain - a.gain)
      .slice(0, MOST_SHOWN)
      .map(({ sentence, gain }) => ({ sentence, gain }))
  );
}

/**
 * How many pieces, half at each end, show an effect as large as it looks 4 times in 5, at the speed that goes through every other time:
 * the two shares' difference on the logit, each piece telling a quarter (J. L. Fleiss, Statistical Methods for Rates and Proportions;
 * formula from memory). Never for less than a factor of 4.5 of the odds, nor for more than one of 55, which so few would not bear out.
 * @returns an even number
 */
export function piecesToTell(its: readonly Concluded[]): number {
  const effects = its.map(({ effect: { estimate, low, high } }) =>
    estimate === null || low === null || high === null ? 0 : Math.abs(estimate * (high - low)),
  );
  const size = Math.min(MOST_EFFECT, Math.max(LEAST_EFFECT, ...effects));
  const needed = (normalQuantile(0.975) + normalQuantile(0.8)) ** 2 / (0.25 * size ** 2);
  return 2 * Math.max(4, Math.ceil(2 * needed));
}

function bestEnd(base: Base, { course, effect: { id, runs, low, high } }: Concluded): HalfCut | null {
  if (low === null || high === null || !(high > low)) return null;
  const cuts = halfCuts(runs, termsWith(base, runs, [course]), {
    ...{ varied: id, ends: [low, high] },
    figureOf: () => ({ [id]: 1 }),
  });
  return cuts?.[0] ?? null;
}
