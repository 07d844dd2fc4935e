import { choose } from "./choose.js";
import type { Reckoned } from "./reckoned.js";
import { sumsOverBlocks, tailsOf } from "./score-sums.js";
import { doubledRanks } from "./signed-rank.js";

/** How two samples differ, by their ranks alone. */
export interface RankDifference extends Reckoned {
  /** The second less the first, in the unit of the values: the median of all differences; null where a sample is empty. */
  readonly estimate: number | null;
  /** Null where there are too few for any. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Two-sided; null where a sample is empty. */
  readonly p: number | null;
  /** The probability of superiority: how often one of the second is more than one of the first, ties half: 0 to 1. */
  readonly superiority: number | null;
}

const METHOD =
  "Hodges–Lehmann shift with limits from Mann and Whitney's ranks; p from all ways in which the values could have fallen to the two, tied values sharing their rank";
/** Ties are what the scale gives; what differs only by rounding is one. */
const DIGITS = 1e9;

/**
 * Two independent samples, exactly, with ties: H. B. Mann and D. R. Whitney, "On a test of whether one of two random variables is
 * stochastically larger than the other", 1947; J. L. Hodges and E. L. Lehmann, "Estimates of location based on rank tests", 1963 (both
 * from memory). The smaller tail counts twice. Limits hold for samples that differ by a shift; where there are ties they hold more
 * often than they promise.
 * @param confidence above 0 and below 1
 * @throws RangeError for a value that is no number
 */
export function rankDifference(
  first: readonly number[],
  second: readonly number[],
  confidence = 0.95,
): RankDifference {
  if (![...first, ...second].every(Number.isFinite))
    throw new RangeError("The values of samples are numbers.");
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  const [m, n] = [first.length, second.length];
  const about = { n: m + n, confidence, method: METHOD };
  if (m === 0 || n === 0) {
    const none = { estimate: null, lower: null, upper: null, p: null, superiority: null };
    return { ...none, ...about, warnings: ["One of the two has no values."] };
  }
  const rounded = [...first, ...second].map((value) => Math.round(value * DIGITS) / DIGITS);
  const ranks = doubledRanks(rounded);
  const seen = ranks.slice(m).reduce((sum, rank) => sum + rank, 0);
  const { upTo, from } = tailsOf(sumsOverBlocks([{ scores: ranks, chosen: n, weight: 1 }]), seen);
  const differences = rounded
    .slice(m)
    .flatMap((b) => rounded.slice(0, m).map((a) => b - a))
    .sort((a, b) => a - b);
  const at = (i: number) => differences[i] as number;
  const inside = rankOfLimit(m, n, (1 - confidence) / 2);
  const warnings =
    inside === 0 ? [`${m} against ${n} are too few for limits of ${Math.round(100 * confidence)} %.`] : [];
  return {
    estimate: (at((differences.length - 1) >> 1) + at(differences.length >> 1)) / 2,
    lower: inside === 0 ? null : at(inside - 1),
    upper: inside === 0 ? null : at(differences.length - inside),
    p: Math.min(1, 2 * Math.min(upTo, from)),
    superiority: (seen / 2 - (n * (n + 1)) / 2) / (m * n),
    ...about,
    warnings,
  };
}

/** The least two-sided p that so many against so many can come to, whatever they are. */
export function leastRankP(m: number, n: number): number {
  return Math.min(1, 2 / choose(m + n, n));
}

/** Which of the ordered differences from either end is the limit, from 1; 0 where there are too few for one. */
function rankOfLimit(m: number, n: number, tail: number): number {
  const scores = Array.from({ length: m + n }, (_, i) => i + 1);
  const { shares } = sumsOverBlocks([{ scores, chosen: n, weight: 1 }]);
  let below = 0;
  for (let u = 0; u < shares.length; u++) {
    below += shares[u] as number;
    if (below > tail) return u;
  }
  return 0;
}
