import { tally } from "./firth-line.js";
import { type LevelLimits, levelLimits } from "./level-limits.js";
import type { Reckoned } from "./reckoned.js";

/** A cut at one power, and whether it was through. */
export interface ThresholdCut {
  /** Above 0. */
  readonly speedMmS: number;
  readonly through: boolean;
}

export interface Threshold extends Reckoned {
  /** The speed that is through every other time, mm/s. */
  readonly half: LevelLimits;
  /** The speed that is through 19 times in 20, mm/s. */
  readonly surely: LevelLimits;
}

const SURELY = Math.log(19);
const METHOD =
  "logistic curve in the logarithm of the speed with Firth's penalty; limits from the profiles of the penalised and the plain likelihood";

/** Below, limits are so wide that a few cuts more are worth more than any reckoning. */
const FEW = 6;

/**
 * The fastest speed that cuts through, from cuts at any speeds in any order. Limits of 90 % held the truth in 9 of 10 simulated
 * ladders of 6 to 24 cuts, and in more where the cuts were few or the curve steep (`npm run bench -- search`).
 * @param confidence of the limits, above 0 and below 1
 * @throws RangeError for a speed that is not above 0
 */
export function thresholdSpeed(cuts: readonly ThresholdCut[], confidence = 0.9): Threshold {
  for (const { speedMmS } of cuts) {
    if (!(speedMmS > 0 && Number.isFinite(speedMmS)))
      throw new RangeError(`A cut's speed is above 0 mm/s; this one has ${speedMmS}.`);
  }
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  }
  const tallies = tally(cuts.map(({ speedMmS, through }) => ({ x: Math.log(speedMmS), hit: through })));
  const at = (logit: number) => inSpeed(levelLimits(tallies, logit, confidence));
  const half = at(0);
  const surely = at(SURELY);
  return { half, surely, n: cuts.length, confidence, method: METHOD, warnings: warningsOf(cuts, half) };
}

function inSpeed({ estimate, lower, upper }: LevelLimits): LevelLimits {
  const speed = (x: number | null) => (x === null ? null : Math.exp(x));
  return { estimate: speed(estimate), lower: speed(lower), upper: speed(upper) };
}

function warningsOf(cuts: readonly ThresholdCut[], half: LevelLimits): string[] {
  if (cuts.length === 0) return ["There are no cuts yet."];
  const speeds = cuts.map(({ speedMmS }) => speedMmS);
  const through = cuts.filter((cut) => cut.through).length;
  const warnings: string[] = [];
  if (through === cuts.length) {
    warnings.push(
      `Every cut was through: the threshold lies above ${shown(Math.max(...speeds))} mm/s, or near it.`,
    );
  } else if (through === 0) {
    warnings.push(
      `No cut was through: the threshold lies below ${shown(Math.min(...speeds))} mm/s, or near it.`,
    );
  }
  if (cuts.length > 1 && new Set(speeds).size < 2) {
    warnings.push("All cuts had the same speed: how the outcome changes with it cannot be told.");
  } else if (through > 0 && through < cuts.length && half.estimate === null) {
    warnings.push(
      "Faster cuts were through more often than slower ones: something else changed between the cuts, and no threshold can be told.",
    );
  } else if (half.estimate !== null && (half.lower === null || half.upper === null)) {
    warnings.push("The cuts set no limit to the threshold on one side or both: more are needed.");
  }
  if (cuts.length < FEW)
    warnings.push(`${cuts.length === 1 ? "1 cut is" : `${cuts.length} cuts are`} few: make ${FEW} or more.`);
  return warnings;
}

function shown(value: number): string {
  return String(Number(value.toPrecision(3)));
}
