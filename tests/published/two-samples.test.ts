import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { equivalence } from "../../station/review/equivalence.js";
import { leastRankP, rankDifference } from "../../station/review/mann-whitney.js";
import { meanDifference } from "../../station/review/welch.js";

/** Two invented pairs of samples without ties, of which scipy 1.10.1 and R 4.2.2 gave the same results. */
const A = [12.1, 11.4, 13.0, 12.7, 11.9, 12.4];
const B = [13.6, 14.9, 12.9, 15.2, 14.1];
const C = [1.1, 2.3, 3.7, 4.2, 6.8];
const D = [2.9, 5.1, 5.9, 7.3, 8.4, 9.6];

describe("Welch's t-test", () => {
  it("has R's figures", () => {
    const found = meanDifference(A, B);
    expect(found.estimate).toBeCloseTo(14.14 - 12.25, 12);
    expect(found.freedom).toBeCloseTo(6.39050504388232, 10);
    expect(found.error).toBeCloseTo(0.481421506236133, 12);
    expect(found.p).toBeCloseTo(0.0068371075524081, 12);
    expect(found.lower).toBeCloseTo(0.729235021819067, 7);
    expect(found.upper).toBeCloseTo(3.05076497818093, 7);
    expect(meanDifference(C, D)).toMatchObject({
      p: expect.closeTo(0.0638534138327695, 10),
      freedom: expect.closeTo(8.92984401556712, 10),
    });
  });

  it("says why it cannot tell", () => {
    expect(meanDifference([], B)).toMatchObject({ estimate: null, p: null });
    expect(meanDifference([1], B)).toMatchObject({
      estimate: expect.closeTo(13.14, 9),
      p: null,
      lower: null,
    });
    expect(meanDifference([1, 1], [2, 2])).toMatchObject({ estimate: 1, p: null });
    // As a caliper that shows tenths has it: alike, though the mean of 0.1 three times over is not 0.1.
    for (const alike of [0.1, 2.7])
      expect(meanDifference(Array(6).fill(alike), Array(6).fill(alike + 0.2))).toMatchObject({
        p: null,
        lower: null,
      });
    expect(equivalence(Array(6).fill(2.7), Array(6).fill(2.71), 0.1)).toMatchObject({
      p: null,
      equivalent: null,
    });
    expect(() => meanDifference([Number.NaN], B)).toThrow(RangeError);
  });

  /** scipy 1.17.1, `ttest_ind(equal_var=False)` with its confidence interval: all but one degree of freedom. */
  it("has limits that agree with its p where one lot has hardly any spread", () => {
    const found = meanDifference([1, 1.0001], [2, 5]);
    expect(found.lower).toBeCloseTo(-16.56, 2);
    expect(found.upper).toBeCloseTo(21.56, 2);
  });
});

describe("Mann and Whitney's test", () => {
  it("has the exact p of R and scipy", () => {
    expect(rankDifference(A, B).p).toBeCloseTo(0.00865800865800866, 12);
    expect(rankDifference(C, D).p).toBeCloseTo(0.0822510822510823, 12);
    // U of the first is 1, and 5, of 30.
    expect(rankDifference(A, B).superiority).toBeCloseTo(29 / 30, 12);
    expect(rankDifference(C, D).superiority).toBeCloseTo(25 / 30, 12);
  });

  /**
   * M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods, 1973, p. 69: permeability of human chorioamnion, as in R's help of
   * `wilcox.test`, which gives a shift of 0.305 there, and one-sided p = 0.1272 (both from memory).
   */
  it("has Hollander and Wolfe's permeability", () => {
    const term = [0.8, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46];
    const weeks = [1.15, 0.88, 0.9, 0.74, 1.21];
    const found = rankDifference(weeks, term);
    expect(found.p).toBeCloseTo(2 * 0.1272, 3);
    expect(found.estimate).toBeCloseTo(0.305, 9);
  });

  it("counts tied values as sharing their rank: all 6 of these 20 ways are as far off", () => {
    // Doubled ranks 2.. : 1, 2, 2 | 2, 3, 3 by hand: the second's sum of ranks is 14 of at most 14.
    const found = rankDifference([1, 2, 2], [2, 3, 3]);
    expect(found.p).toBeCloseTo((2 * 3) / 20, 12);
    expect(rankDifference([5, 5], [5, 5]).p).toBe(1);
  });

  it("can never come below 0.10 with 3 against 3, and has no limits there", () => {
    expect(leastRankP(3, 3)).toBeCloseTo(0.1, 12);
    expect(rankDifference([1, 2, 3], [4, 5, 6])).toMatchObject({ p: expect.closeTo(0.1, 12), lower: null });
    expect(rankDifference([], [1])).toMatchObject({ estimate: null, p: null });
  });

  const sample = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 7 });

  it("is turned round with the samples, and shifts and scales with their unit", () => {
    fc.assert(
      fc.property(sample, sample, (a, b) => {
        const found = rankDifference(a, b);
        const other = rankDifference(b, a);
        const scaled = rankDifference(
          a.map((value) => 3 * value + 7),
          b.map((value) => 3 * value + 7),
        );
        expect(other.p).toBeCloseTo(found.p as number, 12);
        expect(other.estimate).toBeCloseTo(-(found.estimate as number), 12);
        expect(scaled.p).toBeCloseTo(found.p as number, 12);
        expect(scaled.estimate).toBeCloseTo(3 * (found.estimate as number), 9);
      }),
    );
  });

  it("comes below a level no more often than the level says, over all labellings of any values", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 4 }), { minLength: 6, maxLength: 6 }), (values) => {
        const ps: number[] = [];
        for (let mask = 0; mask < 64; mask++) {
          const first = values.filter((_, i) => (mask >> i) & 1);
          const second = values.filter((_, i) => ((mask >> i) & 1) === 0);
          if (first.length === 3) ps.push(rankDifference(first, second).p as number);
        }
        for (const level of [0.1, 0.2, 0.5])
          expect(ps.filter((p) => p <= level + 1e-12).length / ps.length).toBeLessThanOrEqual(level + 1e-12);
      }),
      { numRuns: 40 },
    );
  });
});

describe("two one-sided tests", () => {
  it("find the same within the margin exactly where the limits at twice the level lie inside it", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 3, maxLength: 9 }),
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 3, maxLength: 9 }),
        fc.double({ min: 0.1, max: 2, noNaN: true }),
        (a, b, margin) => {
          const { p, equivalent, difference } = equivalence(a, b, margin);
          if (p === null || difference.lower === null || difference.upper === null) return;
          if (Math.abs(Math.max(-difference.lower, difference.upper) - margin) < 1e-6) return;
          expect(equivalent).toBe(difference.lower > -margin && difference.upper < margin);
        },
      ),
    );
  });

  it("cannot tell of one value, and refuse a margin of nothing", () => {
    expect(equivalence([1], [1, 2], 1)).toMatchObject({ p: null, equivalent: null });
    expect(() => equivalence([1, 2], [1, 2], 0)).toThrow(RangeError);
  });
});
