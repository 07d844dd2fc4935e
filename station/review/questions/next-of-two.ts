import type { NextCut } from "../../model/review.js";
import type { FirthTerm } from "../firth-design.js";
import { type JudgedRun, SPEED } from "./base.js";
import { halfCuts, nearerWords, newestOf, settingWords } from "./half-cut.js";
import { SECOND } from "./speed-ratio.js";

/**
 * Of one more cut of either stock, at the speed that goes through every other time, the one that brings the ratio's limits nearer.
 * @param terms the second stock's step among them
 */
export function nextOfTwo(
  runs: readonly JudgedRun[],
  terms: readonly FirthTerm[],
  [firsts, seconds]: readonly [readonly JudgedRun[], readonly JudgedRun[]],
  names: readonly [string, string],
): NextCut[] {
  const missing = [firsts, seconds].findIndex((its) => its.length === 0);
  if (missing >= 0)
    return [
      { sentence: `Cut ${names[missing]} at the speeds at which ${names[1 - missing]} was cut.`, gain: null },
    ];
  const cuts = halfCuts(runs, terms, {
    ...{ varied: SECOND, ends: [0, 1] },
    // The logarithm of the ratio is the step over the slope.
    figureOf: (coefficient) => ({
      [SECOND]: -1 / coefficient(SPEED),
      [SPEED]: coefficient(SECOND) / coefficient(SPEED) ** 2,
    }),
  });
  if (cuts === null)
    return [
      {
        sentence: "Cut both at more speeds, some that surely go through and some that surely do not.",
        gain: null,
      },
    ];
  return cuts.slice(0, 1).map(({ at, speed, gain }) => ({
    sentence: `One more cut of ${names[at]} at ${speed.toFixed(1)} mm/s${settingWords(newestOf(runs))} would bring the limits of the ratio ${nearerWords(gain)}.`,
    gain,
  }));
}
