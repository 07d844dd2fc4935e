import type { Limited } from "../../model/limited.js";
import { type FirthFit, fitFirth } from "../firth.js";
import type { FirthTerm } from "../firth-design.js";
import { firthTest } from "../firth-test.js";
import { normalQuantile } from "../normal.js";
import { SPEED } from "./base.js";

/** Of two stocks the ratio of the speeds that go through every other time, the second's over the first's. */
export interface SpeedRatio extends Limited {
  /** Of no difference. */
  readonly p: number | null;
  readonly n: number;
}

export const SECOND = "second stock";
/** A logarithm: beyond e^3 = 20 times a ratio is no longer told from none. */
const FURTHEST = 3;
/** Where the search for a limit begins. */
const STRIDE = 0.05;
const TRIES = 40;
const CLOSE = 1e-5;
/** Of the deviation: what nobody sees in a limit. */
const NEAR = 1e-4;

/**
 * One curve for both stocks but for its place, with Firth's penalty. A ratio r is not ruled out where the second stock does nothing
 * once its speeds are divided by r, by the penalised likelihood-ratio test: what E. C. Fieller's theorem ("Some problems in interval
 * estimation", Journal of the Royal Statistical Society B 16, 1954) does for the quotient of two coefficients, by the profile and not
 * by standard errors (G. Heinze and M. Schemper, Statistics in Medicine 21, 2002; both from memory).
 * @param terms the logarithm of the speed, the step of the second stock, and what is taken into account beside them
 * @returns no estimate where faster is not seen to be harder; a limit is null where none was found within 20 times
 */
export function speedRatio(
  terms: readonly FirthTerm[],
  outcomes: readonly boolean[],
  confidence: number,
): SpeedRatio {
  const none = { estimate: null, lower: null, upper: null, p: null, n: outcomes.length };
  if (outcomes.length === 0) return none;
  const fit = fitFirth({ terms, outcomes });
  const p = firthTest(fit, [SECOND]).p;
  const middle = middleOf(fit);
  if (p === null || middle === null) return { ...none, p };
  const deviation = normalQuantile((1 + confidence) / 2);
  const beyond = (ratio: number) => Math.sqrt(chiSquareAt(terms, outcomes, ratio) ?? 0) - deviation;
  const end = (way: 1 | -1) => {
    const limit = limitFrom(middle, way, { beyond, deviation });
    return limit === null ? null : Math.exp(limit);
  };
  return { estimate: Math.exp(middle), lower: end(-1), upper: end(1), p, n: outcomes.length };
}

/** The logarithm of the ratio; null where the curve does not fall with speed. */
function middleOf(fit: FirthFit): number | null {
  const of = (name: string) => fit.coefficients.find(({ term }) => term === name)?.estimate ?? null;
  const [slope, step] = [of(SPEED), of(SECOND)];
  if (slope === null || step === null || slope >= 0) return null;
  const middle = step / -slope;
  return Math.abs(middle) < FURTHEST ? middle : null;
}

/** How much likelihood is lost if the logarithm of the ratio is so much. */
function chiSquareAt(
  terms: readonly FirthTerm[],
  outcomes: readonly boolean[],
  ratio: number,
): number | null {
  const step = terms.find(({ name }) => name === SECOND)?.values ?? [];
  const moved = terms.map((term) =>
    term.name === SPEED
      ? { name: SPEED, values: term.values.map((value, i) => value - ratio * (step[i] as number)) }
      : term,
  );
  return firthTest(fitFirth({ terms: moved, outcomes }), [SECOND]).chiSquare;
}

/**
 * Outwards in growing strides to the first place that is ruled out, then between by straight lines, for the root of the test's
 * chi-square is nearly one (the Illinois way, which halves the side that stays: M. Dowell and P. Jarratt, 1971; from memory).
 */
function limitFrom(
  middle: number,
  way: 1 | -1,
  { beyond, deviation }: { readonly beyond: (at: number) => number; readonly deviation: number },
): number | null {
  let inner = { at: middle, value: -deviation };
  let stride = STRIDE;
  let outer = { at: middle + way * stride, value: beyond(middle + way * stride) };
  while (outer.value <= 0) {
    if (Math.abs(outer.at - middle) > FURTHEST) return null;
    inner = outer;
    stride *= 2;
    const at = outer.at + way * stride;
    outer = { at, value: beyond(at) };
  }
  for (let i = 0; i < TRIES && Math.abs(outer.at - inner.at) > CLOSE; i++) {
    const at = (inner.at * outer.value - outer.at * inner.value) / (outer.value - inner.value);
    const value = beyond(at);
    if (Math.abs(value) < NEAR) return at;
    if (value > 0) {
      outer = { at, value };
      inner = { ...inner, value: inner.value / 2 };
    } else {
      inner = { at, value };
      outer = { ...outer, value: outer.value / 2 };
    }
  }
  return (inner.at + outer.at) / 2;
}
