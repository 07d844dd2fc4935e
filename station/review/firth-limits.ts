import { factorise, solve } from "./cholesky.js";
import { columnOf, type FirthFit } from "./firth.js";
import type { LogisticRows } from "./firth-design.js";
import { type Maximum, maximise, part } from "./firth-maximum.js";
import { normalQuantile } from "./normal.js";
import type { Reckoned } from "./reckoned.js";

/** By how much the logit rises with each unit of a term. */
export interface FirthLimits extends Reckoned {
  readonly term: string;
  /** Null where it cannot be told. */
  readonly estimate: number | null;
  /** Null where the profile does not fall enough on this side. */
  readonly lower: number | null;
  readonly upper: number | null;
}

const METHOD = "profile of the likelihood with Firth's penalty (Heinze and Schemper)";
const CLOSE = 1e-4;
/** In standard normal deviations: from so near to the fall that was asked for one more of Newton's steps leaves nothing. */
const NEAR = 3e-4;
const TRIES = 60;
const HIGHER = 1e-6;
/** In units of the term's spread, or in standard errors where those are more: no logit that is this steep can be told from a step. */
const FAR = 1000;

/**
 * Limits of one coefficient, where the profile of the penalised likelihood has fallen by half of chi-square's quantile: G. Heinze
 * and M. Schemper, "A solution to the problem of separation in logistic regression", Statistics in Medicine 21, 2002 (from memory).
 * They need not lie evenly about the estimate.
 * @param confidence above 0 and below 1
 * @throws RangeError for another confidence, or a term that the fit does not have
 */
export function firthLimits(fit: FirthFit, term: string, confidence = 0.95): FirthLimits {
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  }
  const found = columnOf(fit, term);
  const about = { term, n: fit.n, confidence, method: METHOD };
  if (typeof found === "string" || fit.model === null) {
    return {
      ...about,
      estimate: null,
      lower: null,
      upper: null,
      warnings: typeof found === "string" ? [found] : [],
    };
  }
  const { rows, column, start, spread } = found;
  const profile: Profile = {
    rows,
    column,
    free: Array.from({ length: rows.size }, (_, k) => k).filter((k) => k !== column),
    top: fit.model.maximum.value,
    best: start[column] as number,
  };
  const peak = rows === fit.model.design ? fit.model.maximum : maximise(rows, start, profile.free, CLOSE);
  const deviation = normalQuantile((1 + confidence) / 2);
  const end = (way: 1 | -1) => (peak === null ? null : limit(profile, peak, deviation, way));
  const [low, high] = [end(-1), end(1)];
  const warnings =
    low === null || high === null
      ? [`The rows set no limit to what "${term}" does on one side or both: more are needed.`]
      : [];
  return {
    ...about,
    estimate: profile.best / spread,
    lower: low === null ? null : low / spread,
    upper: high === null ? null : high / spread,
    warnings,
  };
}

interface Profile {
  readonly rows: LogisticRows;
  readonly column: number;
  readonly free: readonly number[];
  readonly top: number;
  readonly best: number;
}

/**
 * Newton's steps on the signed root of twice the fall, which is nearly a straight line, kept between what is known to be too near
 * and too far.
 */
function limit(profile: Profile, peak: Maximum, deviation: number, way: 1 | -1): number | null {
  const { column, best, top } = profile;
  let inner = best;
  let outer: number | null = null;
  let from = peak;
  const error = errorOf(profile, peak);
  const far = FAR * Math.max(1, error);
  let to = best + way * deviation * error;
  for (let tried = 0; tried < TRIES; tried++) {
    if (Math.abs(to - best) > far && outer === null) return null;
    const at = along(profile, from, to);
    if (at === null) return null;
    // There is another peak, higher than the one that the fit came to.
    if (at.value > top + HIGHER) return null;
    const fallen = Math.sqrt(Math.max(0, 2 * (top - at.value)));
    const missing = deviation - fallen;
    // The profile's slope is the score of the coefficient that is held.
    const slope = (-way * (at.score[column] as number)) / fallen;
    const next = to + (way * missing) / slope;
    if (Math.abs(missing) < NEAR && slope > 0) return next;
    if (missing > 0) inner = to;
    else outer = to;
    if (outer !== null && Math.abs(outer - inner) <= 1e-12 * Math.abs(outer)) return to;
    from = at;
    const reach = outer === null ? inner + way * 3 * Math.max(Math.abs(inner - best), 1e-3) : outer;
    const inside = slope > 0 && way * (next - inner) > 0 && way * (reach - next) > 0;
    to = inside ? next : outer === null ? reach : (inner + outer) / 2;
  }
  return null;
}

/** The greatest likelihood with the coefficient held at `to`, sought from where the others would go. */
function along({ rows, column, free }: Profile, from: Maximum, to: number): Maximum | null {
  const step = to - (from.coefficients[column] as number);
  const start = from.coefficients.slice();
  start[column] = to;
  const held = start.slice();
  const block = part(from.curvature, rows.size, free);
  if (factorise(block, free.length) !== null) {
    const side = new Float64Array(free.map((k) => from.curvature[k * rows.size + column] as number));
    solve(block, free.length, side);
    free.forEach((k, i) => {
      start[k] = (start[k] as number) - step * (side[i] as number);
    });
  }
  const found = maximise(rows, start, free, CLOSE, from.curvature);
  if (found?.settled === true) return found;
  const again = maximise(rows, held, free, CLOSE);
  return again?.settled === true ? again : null;
}

/** The standard error of the coefficient, in the units of the rows. */
function errorOf({ rows, column, free }: Profile, { information }: Maximum): number {
  const own = information[column * rows.size + column] as number;
  const side = new Float64Array(free.map((k) => information[k * rows.size + column] as number));
  const block = part(information, rows.size, free);
  if (factorise(block, free.length) === null) return 1;
  const solved = side.slice();
  solve(block, free.length, solved);
  const left = own - side.reduce((sum, each, i) => sum + each * (solved[i] as number), 0);
  return left > 0 ? 1 / Math.sqrt(left) : 1;
}
