import type { Conditions, NextCut } from "../../model/review.js";
import { factorise, inverse, products } from "../cholesky.js";
import { fitFirth } from "../firth.js";
import { INTERCEPT } from "../intercept.js";
import { normalQuantile } from "../normal.js";
import { type Base, type JudgedRun, SPEED } from "./base.js";
import type { Concluded } from "./condition-verdict.js";
import { measured } from "./figure-words.js";

/** Of the odds' logarithm: a whole range of a condition that does less is hardly worth an experiment. */
const LEAST_EFFECT = 1.5;
const MOST_EFFECT = 4;
/** Doubts that are worth a cut of their own. */
const MOST_SHOWN = 3;
/** A gain below is not worth saying. */
const LEAST_GAIN = 0.01;

/**
 * The cut that would most narrow what is known of each condition in doubt, the most telling first: of cuts at the ends of what was seen,
 * at the speed that goes through every other time there, the one after which the information of all cuts leaves the least variance
 * (the usual design by expected information; F. Pukelsheim, Optimal Design of Experiments, 1993; from memory).
 */
export function nextCuts(base: Base, concluded: readonly Concluded[], conditions: Conditions): NextCut[] {
  return concluded
    .filter(({ verdict }) => verdict === "may explain" || verdict === "cannot tell")
    .flatMap((one) => {
      const found = bestEnd(base, one);
      const facts = conditions[one.effect.id];
      if (found === null || facts === undefined || found.gain < LEAST_GAIN) return [];
      const { at, speed, gain } = found;
      const sentence = `One cut at ${speed.toFixed(1)} mm/s with ${lower(facts.name)} at ${measured(at, facts)} would bring the limits of what it does ${Math.round(gain * 100)} % nearer; ${piecesToTell([one])} cuts, half at each end of what it was, would mostly settle it.`;
      return [{ sentence, gain, p: one.effect.p ?? 1 }];
    })
    .sort((a, b) => a.p - b.p || b.gain - a.gain)
    .slice(0, MOST_SHOWN)
    .map(({ sentence, gain }) => ({ sentence, gain }));
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

function bestEnd(base: Base, { effect }: Concluded) {
  const { id, runs, low, high, slope } = effect;
  if (low === null || high === null || !(high > low) || slope === null || !(slope < 0)) return null;
  const terms = base.termsOf(runs);
  const fit = fitFirth({
    terms: [...terms, { name: id, values: runs.map((run) => run.conditions[id] as number) }],
    outcomes: runs.map(({ through }) => through),
  });
  const told = fit.coefficients;
  if (told.some(({ estimate }) => estimate === null)) return null;
  const beta = told.map(({ estimate }) => estimate as number);
  const columns = [
    Float64Array.from(runs, () => 1),
    ...terms.map(({ values }) => Float64Array.from(values)),
    Float64Array.from(runs, (run) => run.conditions[id] as number),
  ];
  const size = columns.length;
  const weights = Float64Array.from(runs, (_, row) => {
    const logit = columns.reduce((sum, column, k) => sum + (column[row] as number) * (beta[k] as number), 0);
    const share = 1 / (1 + Math.exp(-logit));
    return share * (1 - share);
  });
  const information = products(columns, weights);
  if (factorise(information, size) === null) return null;
  const covariance = inverse(information, size);
  const names = told.map(({ term }) => term);
  const typical = names.map((term, k) => (term === INTERCEPT ? 1 : newest(runs, columns[k] as Float64Array)));
  const found = [low, high].map((at) => {
    const row = [...typical];
    row[size - 1] = at;
    const place = names.indexOf(SPEED);
    const rest = row.reduce((sum, value, k) => sum + (k === place ? 0 : value * (beta[k] as number)), 0);
    row[place] = -rest / (beta[place] as number);
    const toward = row.map((_, i) =>
      row.reduce((sum, value, j) => sum + (covariance[i * size + j] as number) * value, 0),
    );
    const spread = row.reduce((sum, value, i) => sum + value * (toward[i] as number), 0);
    const before = covariance[size * size - 1] as number;
    // One row more with weight ¼: the inverse after it by J. Sherman and W. J. Morrison's formula, 1950 (from memory).
    const after = before - (0.25 * (toward[size - 1] as number) ** 2) / (1 + 0.25 * spread);
    return { at, speed: Math.exp(row[place] as number), gain: 1 - Math.sqrt(Math.max(0, after) / before) };
  });
  const usable = found.filter(
    ({ speed, gain }) => Number.isFinite(speed) && speed < 2000 && Number.isFinite(gain),
  );
  return usable.sort((a, b) => b.gain - a.gain)[0] ?? null;
}

/** As in the newest run: what a person would cut with next. */
function newest(runs: readonly JudgedRun[], column: Float64Array): number {
  let at = 0;
  runs.forEach(({ wall }, i) => {
    if ((wall ?? 0) >= (runs[at]?.wall ?? 0)) at = i;
  });
  return column[at] as number;
}

function lower(name: string): string {
  return name.slice(0, 1).toLowerCase() + name.slice(1);
}
