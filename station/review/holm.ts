/**
 * S. Holm's step-down p values: that all taken together are wrong no more often than one alone would be ("A simple sequentially
 * rejective multiple test procedure", Scandinavian Journal of Statistics 6, 1979, pp. 65 to 70; from memory). The k-th smallest of
 * m is multiplied by m − k + 1, and is never less than the one before it.
 * @param ps each 0 to 1, in any order; null where a test could not be made, which then does not count
 * @returns in the same order
 * @throws RangeError for anything else
 */
export function holm(ps: readonly (number | null)[]): (number | null)[] {
  if (!ps.every((p) => p === null || (p >= 0 && p <= 1))) {
    throw new RangeError("A p value is 0 to 1, or null where there is none.");
  }
  const made = ps.flatMap((p, place) => (p === null ? [] : [{ p, place }])).sort((a, b) => a.p - b.p);
  const adjusted: (number | null)[] = ps.map(() => null);
  let before = 0;
  made.forEach(({ p, place }, i) => {
    before = Math.min(1, Math.max(before, p * (made.length - i)));
    adjusted[place] = before;
  });
  return adjusted;
}
