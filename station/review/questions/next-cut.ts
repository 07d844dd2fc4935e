import type { Conditions, NextCut } from "../../model/review.js";
import { fitFirth } from "../firth.js";
import { INTERCEPT } from "../intercept.js";
import { normalQuantile } from "../normal.js";
import { type Base, type JudgedRun, SPEED } from "./base.js";
import type { Concluded } from "./condition-verdict.js";
import { offFrom } from "./condition-words.js";
import { expectedGain, knownOf } from "./expected-gain.js";
import { inSentence, measured } from "./figure-words.js";

/** Of the odds' logarithm: a whole range of a condition that does less is hardly worth an experiment. */
const LEAST_EFFECT = 1.5;
const MOST_EFFECT = 4;
/** Doubts that are worth a cut of their own. */
const MOST_SHOWN = 3;
/** A gain below is not worth saying. */
const LEAST_GAIN = 0.005;
/** Of the speeds that were seen: further off nobody knows what a cut does. */
const BEYOND = 1.25;

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
        const sentence = `One cut at ${speed.toFixed(1)} mm/s with ${inSentence(facts.name)} ${one.about === null ? `at ${measured(at, facts)}` : measured(at, offFrom(facts))} would bring the limits of what it does about ${(gain * 100).toFixed(gain < 0.1 ? 1 : 0)} % nearer; ${piecesToTell([one])} cuts, half at each end of what it was, would mostly settle it.`;
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

function bestEnd(
  base: Base,
  { course, effect: { id, runs, low, high, slope } }: Concluded,
): { readonly at: number; readonly speed: number; readonly gain: number } | null {
  if (low === null || high === null || !(high > low) || slope === null || !(slope < 0)) return null;
  const terms = [...base.termsOf(runs), { name: id, values: runs.map((run) => course.of(run) as number) }];
  const fit = fitFirth({ terms, outcomes: runs.map(({ through }) => through) });
  const told = fit.coefficients.flatMap(({ term, estimate }) =>
    estimate === null ? [] : [{ term, estimate }],
  );
  if (told.length < fit.coefficients.length) return null;
  const coefficients = told.map(({ estimate }) => estimate);
  const columns = told.map(({ term }) =>
    Float64Array.from(runs, (_, row) =>
      term === INTERCEPT ? 1 : (terms.find(({ name }) => name === term)?.values[row] as number),
    ),
  );
  const known = knownOf(columns, coefficients);
  if (known === null) return null;
  const speedAt = told.findIndex(({ term }) => term === SPEED);
  const typical = columns.map((column) => column[newest(runs)] as number);
  const figure = told.map(({ term }) => (term === id ? 1 : 0));
  const speeds = runs.map(({ speed_mm_s }) => speed_mm_s);
  const [slowest, fastest] = [Math.min(...speeds) / BEYOND, Math.max(...speeds) * BEYOND];
  const ends = [low, high].flatMap((at) => {
    const row = typical.map((value, k) => (told[k]?.term === id ? at : value));
    const rest = row.reduce(
      (sum, value, k) => sum + (k === speedAt ? 0 : value * (coefficients[k] as number)),
      0,
    );
    row[speedAt] = -rest / (coefficients[speedAt] as number);
    const [gain, speed] = [expectedGain(known, row, figure), Math.exp(row[speedAt] as number)];
    return gain === null || !(speed >= slowest && speed <= fastest) ? [] : [{ at, speed, gain }];
  });
  return ends.sort((a, b) => b.gain - a.gain)[0] ?? null;
}

/** The newest run: its stock and power are what a person would cut with next. */
function newest(runs: readonly JudgedRun[]): number {
  return runs.reduce((best, { wall }, i) => ((wall ?? 0) >= (runs[best]?.wall ?? 0) ? i : best), 0);
}
