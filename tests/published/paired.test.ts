import { describe, expect, it } from "vitest";
import { pairedDifference } from "../../station/review/paired.js";
import { leastShareOfAll, shareLimits } from "../../station/review/share-limits.js";

/**
 * Depression scale factors of nine patients before and after the start of a treatment: M. Hollander and D. A. Wolfe,
 * Nonparametric Statistical Methods, 1973, pp. 29 to 33, as in the examples of `wilcox.test` of R, which prints V = 40 and, with
 * the one-sided alternative, p-value = 0.01953 (from memory, as is the table).
 */
const BEFORE = [1.83, 0.5, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.3];
const AFTER = [0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29];

describe("a difference within pairs", () => {
  it("has the rank sum and p of the published example", () => {
    const found = pairedDifference(BEFORE.map((before, i) => before - (AFTER[i] as number)));
    expect(found.rankSum).toBe(40);
    // One-sided 0.01953 is 10 of 512 flips.
    expect(found.p).toBeCloseTo(20 / 512, 12);
    expect(found.n).toBe(9);
    // The same program's estimate of the shift, 0.46 (from memory).
    expect(found.estimate).toBeCloseTo(0.46, 2);
  });
});

/** R. G. Newcombe, Statistics in Medicine 17, 1998, pp. 857 to 872, table I, method 3 (from memory). */
describe("limits of a share", () => {
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])("%i of %i", (hits, n, lower, upper) => {
    const found = shareLimits(hits, n);
    expect(found.lower).toBeCloseTo(lower, 4);
    expect(found.upper).toBeCloseTo(upper, 4);
  });

  it("where it was true of all: the same table's method 5, the exact one, for 0 of 20", () => {
    // Of the two-sided 0 to 0.1684; one-sided, half of the five in a hundred lies on either side.
    expect(1 - leastShareOfAll(20, 0.975)).toBeCloseTo(0.1684, 4);
    // By its definition: so rare a thing is seen n times of n once in twenty.
    for (const n of [1, 3, 59]) expect(leastShareOfAll(n) ** n).toBeCloseTo(0.05, 12);
    expect(() => leastShareOfAll(0)).toThrow(RangeError);
  });
});
