/** Scores of the pieces of one block, some of which are one lot's. */
export interface ScoredBlock {
  /** Whole numbers of 0 or more. */
  readonly scores: readonly number[];
  /** How many of them are the lot's. */
  readonly chosen: number;
  /** What a score of this block counts: a whole number of 1 or more. */
  readonly weight: number;
}

/** How a sum is spread: the share of each value from the least on, by ones. */
export interface Sums {
  readonly least: number;
  readonly shares: Float64Array;
}

/**
 * How the sum of one lot's weighted scores is spread where in each block every choice of pieces is as likely as any other: exactly,
 * each block by adding the pieces of one score after those of another, and the blocks folded into each other (M. Pagano and D.
 * Tritchler, "On obtaining permutation distributions in polynomial time", Journal of the American Statistical Association 78, 1983,
 * pp. 435 to 440, is an account of the like; from memory).
 */
export function sumsOverBlocks(blocks: readonly ScoredBlock[]): Sums {
  let all: Sums = { least: 0, shares: Float64Array.of(1) };
  for (const { scores, chosen, weight } of blocks) all = folded(all, sumsWithin(scores, chosen), weight);
  return all;
}

/** About how many additions that takes. */
export function workOverBlocks(blocks: readonly ScoredBlock[]): number {
  let reach = 1;
  let work = 0;
  for (const { scores, chosen, weight } of blocks) {
    const sum = scores.reduce((total, score) => total + score, 0);
    const range = rangeOf(scores, chosen);
    work += sum * chosen * Math.min(scores.length, 2 + new Set(scores).size * chosen) + reach * (range + 1);
    reach += range * weight;
  }
  return work;
}

function rangeOf(scores: readonly number[], chosen: number): number {
  const sorted = [...scores].sort((a, b) => a - b);
  const total = (some: readonly number[]) => some.reduce((sum, score) => sum + score, 0);
  return total(sorted.slice(sorted.length - chosen)) - total(sorted.slice(0, chosen));
}

function sumsWithin(scores: readonly number[], chosen: number): Sums {
  const most = scores.reduce((sum, score) => sum + score, 0);
  const ways = Array.from({ length: chosen + 1 }, () => new Float64Array(most + 1));
  (ways[0] as Float64Array)[0] = 1;
  const counts = new Map<number, number>();
  for (const score of scores) counts.set(score, (counts.get(score) ?? 0) + 1);
  for (const [score, count] of counts) {
    // From many chosen to few, so that what is read has none of this score yet.
    for (let k = chosen; k >= 0; k--) {
      const into = ways[k] as Float64Array;
      let choices = 1;
      for (let taken = 1; taken <= Math.min(count, k); taken++) {
        choices = (choices * (count - taken + 1)) / taken;
        const without = ways[k - taken] as Float64Array;
        for (let sum = most - taken * score; sum >= 0; sum--) {
          const way = without[sum] as number;
          if (way > 0) into[sum + taken * score] = (into[sum + taken * score] as number) + choices * way;
        }
      }
    }
  }
  return trimmed(ways[chosen] as Float64Array);
}

function trimmed(ways: Float64Array): Sums {
  const least = ways.findIndex((way) => way > 0);
  const kept = ways.slice(least, ways.findLastIndex((way) => way > 0) + 1);
  const all = kept.reduce((sum, way) => sum + way, 0);
  return { least, shares: kept.map((way) => way / all) };
}

function folded(a: Sums, b: Sums, weight: number): Sums {
  const shares = new Float64Array(a.shares.length + (b.shares.length - 1) * weight);
  b.shares.forEach((share, j) => {
    if (share === 0) return;
    for (let i = 0; i < a.shares.length; i++) {
      const at = i + j * weight;
      shares[at] = (shares[at] as number) + share * (a.shares[i] as number);
    }
  });
  return { least: a.least + b.least * weight, shares };
}

/** The share at or below a sum, and at or above it. */
export function tailsOf({ least, shares }: Sums, seen: number): { upTo: number; from: number } {
  let upTo = 0;
  let from = 0;
  shares.forEach((share, i) => {
    if (least + i <= seen) upTo += share;
    if (least + i >= seen) from += share;
  });
  return { upTo: Math.min(1, upTo), from: Math.min(1, from) };
}

/** The same sums where each one more makes a choice likelier by a factor; of the logarithm of that factor. */
export function tilting({ least, shares }: Sums): (tilt: number) => Sums {
  const logs = shares.map((share) => (share > 0 ? Math.log(share) : Number.NEGATIVE_INFINITY));
  return (tilt) => {
    const tilted = new Float64Array(logs.length);
    let top = Number.NEGATIVE_INFINITY;
    for (let i = 0; i < logs.length; i++) {
      const log = (logs[i] as number) + tilt * i;
      tilted[i] = log;
      if (log > top) top = log;
    }
    let all = 0;
    for (let i = 0; i < tilted.length; i++) {
      const part = Math.exp((tilted[i] as number) - top);
      tilted[i] = part;
      all += part;
    }
    for (let i = 0; i < tilted.length; i++) tilted[i] = (tilted[i] as number) / all;
    return { least, shares: tilted };
  };
}

export function meanOf({ least, shares }: Sums): number {
  return shares.reduce((sum, share, i) => sum + share * (least + i), 0);
}
