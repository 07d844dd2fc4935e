import { doubledRanks } from "./signed-rank.js";

/** How two samples differ, by their ranks alone. */
export interface RankDifference {
  /** The second less the first, in the unit of the values: the median of all differences; null where a sample is empty. */
  readonly estimate: number | null;
  /** Null where there are too few for any. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Two-sided; null where a sample is empty. */
  readonly p: number | null;
  /** How often one of the second is more than one of the first, ties half: 0 to 1. */
  readonly oftenMore: number | null;
  readonly n: number;
  readonly confidence: number;
  readonly method: string;
  readonly warnings: readonly string[];
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
    const none = { estimate: null, lower: null, upper: null, p: null, oftenMore: null };
    return { ...none, ...about, warnings: ["One of the two has no values."] };
  }
  const rounded = [...first, ...second].map((value) => Math.round(value * DIGITS) / DIGITS);
  const ranks = doubledRanks(rounded);
  const seen = ranks.slice(m).reduce((sum, rank) => sum + rank, 0);
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
    p: twoTails(rankSums(ranks, n), seen),
    oftenMore: (seen / 2 - (n * (n + 1)) / 2) / (m * n),
    ...about,
    warnings,
  };
}

/** The least two-sided p that so many against so many can come to, whatever they are. */
export function leastRankP(m: number, n: number): number {
  let ways = 1;
  for (let i = 1; i <= n; i++) ways = (ways * (m + i)) / i;
  return Math.min(1, 2 / ways);
}

/** Of all ways to choose so many of the ranks the share of each sum, by adding one rank after another. */
function rankSums(ranks: readonly number[], choose: number): Float64Array {
  const most = ranks.reduce((sum, rank) => sum + rank, 0);
  const ways = Array.from({ length: choose + 1 }, () => new Float64Array(most + 1));
  (ways[0] as Float64Array)[0] = 1;
  // As chances and not as counts, which would outgrow a double: the next rank is chosen with the chance of what is left to choose.
  for (let i = 0; i < ranks.length; i++) {
    const rank = ranks[i] as number;
    for (let k = Math.min(i, choose - 1); k >= 0; k--) {
      const [without, into] = [ways[k] as Float64Array, ways[k + 1] as Float64Array];
      for (let sum = most - rank; sum >= 0; sum--) {
        if (without[sum] !== 0) into[sum + rank] = (into[sum + rank] as number) + (without[sum] as number);
      }
    }
  }
  const chosen = ways[choose] as Float64Array;
  const all = chosen.reduce((sum, each) => sum + each, 0);
  return chosen.map((each) => each / all);
}

function twoTails(shares: Float64Array, seen: number): number {
  let upTo = 0;
  let from = 0;
  shares.forEach((share, sum) => {
    if (sum <= seen) upTo += share;
    if (sum >= seen) from += share;
  });
  return Math.min(1, 2 * Math.min(upTo, from));
}

/** Which of the ordered differences from either end is the limit, from 1; 0 where there are too few for one. */
function rankOfLimit(m: number, n: number, tail: number): number {
  const ranks = Array.from({ length: m + n }, (_, i) => i + 1);
  const shares = rankSums(ranks, n);
  const least = (n * (n + 1)) / 2;
  let below = 0;
  for (let u = 0; u <= m * n; u++) {
    below += shares[least + u] as number;
    if (below > tail) return u;
  }
  return 0;
}
