/** In how many ways k of n can be chosen; whole as far as a double is. @param k 0 to n */
export function choose(n: number, k: number): number {
  let ways = 1;
  for (let i = 1; i <= k; i++) ways = (ways * (n - k + i)) / i;
  return Math.round(ways);
}

/** The logarithm of the same, for numbers that a double does not hold. */
export function logChoose(n: number, k: number): number {
  let log = 0;
  for (let i = 1; i <= k; i++) log += Math.log((n - k + i) / i);
  return log;
}
