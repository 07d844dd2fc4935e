/** How many pieces of each of two lots a block has, each 1 or more, and what the block counts. */
export interface BlockSize {
  readonly first: number;
  readonly second: number;
  readonly weight: number;
}

/**
 * How much the share of pairs that the second lot wins varies about its true value, between samples: J. A. Hanley and B. J. McNeil's
 * variance for exponential spreads with their sizes replaced by their mean, R. G. Newcombe, "Confidence intervals for an effect size
 * measure based on the Mann–Whitney statistic, part 2", Statistics in Medicine 25, 2006, method 5 (from memory); blocks by their weights.
 * @param share the true one, 0 to 1
 */
export function superiorityVariance(share: number, blocks: readonly BlockSize[]): number {
  const both = (1 - share) / (2 - share) + share / (1 + share);
  let variance = 0;
  let whole = 0;
  for (const { first, second, weight } of blocks) {
    const pairs = first * second;
    variance += weight ** 2 * pairs * share * (1 - share) * (1 + ((first + second) / 2 - 1) * both);
    whole += weight * pairs;
  }
  return variance / whole ** 2;
}

/**
 * The share that lies so many standard errors of its own from the one that was seen, as E. B. Wilson does it for counts.
 * @param way 1 for the limit above, -1 for that below
 * @returns 0 to 1
 */
export function superiorityLimit(
  seen: number,
  blocks: readonly BlockSize[],
  deviation: number,
  way: 1 | -1,
): number {
  let inner = seen;
  let outer = way === 1 ? 1 : 0;
  for (let i = 0; i < 60; i++) {
    const middle = (inner + outer) / 2;
    if ((middle - seen) ** 2 < deviation ** 2 * superiorityVariance(middle, blocks)) inner = middle;
    else outer = middle;
  }
  return (inner + outer) / 2;
}
