import { fitFirthLine, logLikelihood, penalisedLikelihood, type Tally } from "./firth-line.js";
import { normalQuantile } from "./normal.js";

/** Where a curve that falls with x has a stated logit. Null where the data set no end. */
export interface LevelLimits {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}

type Likelihood = (tallies: readonly Tally[], intercept: number, slope: number) => number;

/** Slopes that are looked at, over the range of x: from all but flat to a step. */
const FLATTEST = Math.log(0.01);
const STEEPEST = Math.log(3000);
const STRIDE = 0.3;
/** How far beyond the data a limit is looked for, in ranges of x. */
const FAR = 6;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * Limits of the level at which logit P(hit) has a value: what neither the profile of the penalised likelihood over all falling
 * curves rules out (as G. Heinze and M. Schemper, 2002, do for a slope; from memory), nor that of the plain likelihood. The
 * penalty alone has no faith in steep curves, and leaves out a truth near the end of the gap where the outcomes are separated;
 * without it limits are too narrow for flat curves. Together they hold in simulation what they promise, and more for few trials.
 * @param logit 0 for the level of 50 %, above 0 for one where hits are likelier
 * @param confidence above 0 and below 1
 * @returns no estimate where only one outcome was seen, and none at all where the outcomes do not fall with x
 */
export function levelLimits(tallies: readonly Tally[], logit: number, confidence: number): LevelLimits {
  const none = { estimate: null, lower: null, upper: null };
  const fit = fitFirthLine(tallies);
  if (fit === null) return none;
  const mixed = tallies.some(({ hits }) => hits > 0) && tallies.some(({ misses }) => misses > 0);
  if (mixed && fit.slope >= 0) return none;
  const drop = normalQuantile((1 + confidence) / 2) ** 2 / 2;
  const penalised = profileOf(tallies, logit, penalisedLikelihood);
  if (!mixed) return oneSided(tallies, penalised, drop);
  const estimate = (logit - fit.intercept) / fit.slope;
  const floor = fit.penalised - drop;
  const plain = profileOf(tallies, logit, logLikelihood);
  const top = highest(plain);
  const plainFloor = plain.at(top) - drop;
  const end = (way: 1 | -1) => {
    const ends = [walk(penalised, floor, estimate, way), walk(plain, plainFloor, top, way)];
    return ends.some((one) => one === null)
      ? null
      : way * Math.max(...ends.map((one) => way * (one as number)));
  };
  return { estimate, lower: end(-1), upper: end(1) };
}

/** All hits, or all misses: the level lies beyond the data that way, and the profile only grows towards it. */
function oneSided(tallies: readonly Tally[], profile: Profile, drop: number): LevelLimits {
  const above = tallies.some(({ hits }) => hits > 0);
  const far = above ? profile.to + FAR * profile.range : profile.from - FAR * profile.range;
  const end = walk(profile, profile.at(far) - drop, far, above ? -1 : 1);
  return { estimate: null, lower: above ? end : null, upper: above ? null : end };
}

interface Profile {
  /** The greatest likelihood of all falling curves with the level at `x`. */
  at(x: number): number;
  readonly from: number;
  readonly to: number;
  readonly range: number;
}

function profileOf(tallies: readonly Tally[], logit: number, likelihood: Likelihood): Profile {
  const from = (tallies[0] as Tally).x;
  const to = (tallies.at(-1) as Tally).x;
  const range = to - from;
  const at = (level: number) => {
    const of = (log: number) => {
      const slope = -Math.exp(log) / range;
      return likelihood(tallies, logit - slope * level, slope);
    };
    let best = FLATTEST;
    let most = of(best);
    for (let log = FLATTEST + STRIDE; log < STEEPEST; log += STRIDE) {
      const value = of(log);
      if (value > most) {
        most = value;
        best = log;
      }
    }
    return of(goldenSection(of, best - STRIDE, best + STRIDE));
  };
  return { at, from, to, range };
}

function goldenSection(of: (x: number) => number, from: number, to: number): number {
  let low = from;
  let high = to;
  let left = high - GOLDEN * (high - low);
  let right = low + GOLDEN * (high - low);
  let atLeft = of(left);
  let atRight = of(right);
  for (let i = 0; i < 20; i++) {
    if (atLeft > atRight) {
      high = right;
      right = left;
      atRight = atLeft;
      left = high - GOLDEN * (high - low);
      atLeft = of(left);
    } else {
      low = left;
      left = right;
      atLeft = atRight;
      right = low + GOLDEN * (high - low);
      atRight = of(right);
    }
  }
  return (low + high) / 2;
}

function highest({ at, from, range }: Profile): number {
  let best = from;
  let most = Number.NEGATIVE_INFINITY;
  const stride = range / 24;
  for (let i = -12; i <= 36; i++) {
    const value = at(from + i * stride);
    if (value > most) {
      most = value;
      best = from + i * stride;
    }
  }
  return goldenSection(at, best - stride, best + stride);
}

/** Outwards from a level that is not ruled out, to the first that is. */
function walk({ at, range }: Profile, floor: number, from: number, way: 1 | -1): number | null {
  let inner = from;
  let outer = from;
  for (let stride = range / 40; at(outer) >= floor; stride *= 1.3) {
    inner = outer;
    outer += way * stride;
    if (Math.abs(outer - from) > 2 * FAR * range) return null;
  }
  for (let i = 0; i < 30; i++) {
    const middle = (inner + outer) / 2;
    if (at(middle) < floor) outer = middle;
    else inner = middle;
  }
  return (inner + outer) / 2;
}
