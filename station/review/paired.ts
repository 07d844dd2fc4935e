import type { Reckoned } from "./reckoned.js";
import { doubledRanks, signSums } from "./signed-rank.js";

/** How two lots differ, from pairs that were alike in all else. */
export interface PairedDifference extends Reckoned {
  /** The second less the first, in the unit of the values; null for no pair. */
  readonly estimate: number | null;
  /** Null where there are too few pairs for any. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Two-sided; null for no pair. */
  readonly p: number | null;
  /** The sum of the ranks of the pairs in which the second is more. */
  readonly rankSum: number;
}

const METHOD =
  "Hodges–Lehmann estimate with limits from Wilcoxon's signed ranks; p from all flips of the signs, pairs without a difference keeping their ranks (Pratt)";
/** Ties are what the scale gives; what differs only by the rounding of a subtraction is one. */
const DIGITS = 1e9;

/** The fewest pairs that can have limits of this confidence: with one fewer not even all of one sign would do. */
export function fewestPairs(confidence: number): number {
  return Math.ceil(1 - Math.log2(1 - confidence) - 1e-9);
}

/**
 * The difference between two lots, exactly, within pairs. Limits hold for any spread of differences that is alike on both sides
 * of its middle; where there are ties they hold more often than they promise, never less.
 * @param differences of each pair the second less the first
 * @param confidence above 0 and below 1
 * @throws RangeError for a difference that is no number
 */
export function pairedDifference(differences: readonly number[], confidence = 0.95): PairedDifference {
  if (!differences.every(Number.isFinite)) throw new RangeError("The differences of pairs are numbers.");
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  }
  const rounded = differences.map((difference) => Math.round(difference * DIGITS) / DIGITS);
  const n = rounded.length;
  const fewest = fewestPairs(confidence);
  const warnings = n < fewest ? [`${n} pairs are too few to tell: ${fewest} are the fewest that can.`] : [];
  const about = { n, confidence, method: METHOD, warnings };
  if (n === 0) return { estimate: null, lower: null, upper: null, p: null, rankSum: 0, ...about };
  const averages = walshAverages(rounded);
  const inside = rankOfLimit(n, (1 - confidence) / 2);
  const at = (i: number) => averages[i] as number;
  const middle = (at((averages.length - 1) >> 1) + at(averages.length >> 1)) / 2;
  const limits =
    inside === 0
      ? { lower: null, upper: null }
      : { lower: at(inside - 1), upper: at(averages.length - inside) };
  return { estimate: middle, ...limits, ...flipTest(rounded), ...about };
}

/** The mean of every two, and of each with itself; ascending. */
function walshAverages(values: readonly number[]): Float64Array {
  const averages = new Float64Array((values.length * (values.length + 1)) / 2);
  let k = 0;
  values.forEach((a, i) => {
    for (let j = i; j < values.length; j++) averages[k++] = (a + (values[j] as number)) / 2;
  });
  return averages.sort();
}

/**
 * How often two lots that are alike are said to be apart: the most that the steps of the signed ranks allow of a level.
 * @param level two-sided, above 0 and below 1
 * @returns 0 where there are too few pairs
 */
export function attainedLevel(n: number, level: number): number {
  const shares = signSums(Array.from({ length: n }, (_, i) => i + 1));
  const inside = rankOfLimit(n, level / 2);
  return 2 * shares.slice(0, inside).reduce((sum, share) => sum + share, 0);
}

/** Which of the averages from either end is the limit, from 1; 0 where there are too few for one. */
function rankOfLimit(n: number, tail: number): number {
  const shares = signSums(Array.from({ length: n }, (_, i) => i + 1));
  let below = 0;
  for (let sum = 0; sum < shares.length; sum++) {
    below += shares[sum] as number;
    if (below > tail) return sum;
  }
  return 0;
}

function flipTest(values: readonly number[]): { p: number; rankSum: number } {
  const ranks = doubledRanks(values.map(Math.abs));
  const counted = ranks.filter((_, i) => values[i] !== 0);
  const seen = ranks.reduce((sum, rank, i) => sum + ((values[i] as number) > 0 ? rank : 0), 0);
  const shares = signSums(counted);
  let upTo = 0;
  let from = 0;
  shares.forEach((share, sum) => {
    if (sum <= seen) upTo += share;
    if (sum >= seen) from += share;
  });
  return { p: Math.min(1, 2 * Math.min(upTo, from)), rankSum: seen / 2 };
}
