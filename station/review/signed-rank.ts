/**
 * How the sum of the ranks that count as positive is spread where each sign is as likely as the other: by adding one rank after
 * another, exactly.
 * @param weights whole numbers of 0 or more: ranks, or doubled ones where ties made halves
 * @returns at each sum its share
 */
export function signSums(weights: readonly number[]): Float64Array {
  const most = weights.reduce((sum, weight) => sum + weight, 0);
  const shares = new Float64Array(most + 1);
  shares[0] = 1;
  let reached = 0;
  for (const weight of weights) {
    reached += weight;
    for (let sum = reached; sum >= 0; sum--) {
      const without = shares[sum] as number;
      const withIt = sum >= weight ? (shares[sum - weight] as number) : 0;
      shares[sum] = (without + withIt) / 2;
    }
  }
  return shares;
}

/** Ranks times two, 2 for the smallest, so that values alike share a whole number. */
export function doubledRanks(values: readonly number[]): number[] {
  const order = values.map((_, i) => i).sort((a, b) => (values[a] as number) - (values[b] as number));
  const ranks = new Array<number>(values.length).fill(0);
  for (let from = 0; from < order.length; ) {
    const value = values[order[from] as number];
    let to = from;
    while (to + 1 < order.length && values[order[to + 1] as number] === value) to++;
    for (let i = from; i <= to; i++) ranks[order[i] as number] = from + to + 2;
    from = to + 1;
  }
  return ranks;
}
