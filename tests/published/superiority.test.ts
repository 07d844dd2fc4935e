import { describe, expect, it } from "vitest";
import { superiorityLimit, superiorityVariance } from "../../station/review/superiority.js";

describe("the variance of a share of pairs won", () => {
  /**
   * Images of 51 abnormal and 58 normal cases, with 0.893 of the area: J. A. Hanley and B. J. McNeil, "The meaning and use of the area
   * under a receiver operating characteristic curve", Radiology 143, 1982, give a standard error of 0.032 (from memory).
   */
  it("has the published standard error of 109 readings", () => {
    const error = Math.sqrt(superiorityVariance(0.893, [{ first: 51, second: 58, weight: 1 }]));
    expect(error).toBeCloseTo(0.032, 3);
  });

  /** The variance of Mann and Whitney's U is m n (m + n + 1) / 12 where the two are alike (H. B. Mann and D. R. Whitney, 1947). */
  it("is Mann and Whitney's where the lots are alike", () => {
    for (const [m, n] of [
      [3, 3],
      [4, 9],
      [1, 1],
    ] as const) {
      const found = superiorityVariance(0.5, [{ first: m, second: n, weight: 7 }]);
      expect(found).toBeCloseTo((m + n + 1) / (12 * m * n), 12);
    }
  });

  it("of as many blocks of one size is that of one, divided by their number", () => {
    const block = { first: 4, second: 5, weight: 2 };
    expect(superiorityVariance(0.8, [block, block, block])).toBeCloseTo(
      superiorityVariance(0.8, [block]) / 3,
      12,
    );
  });
});

describe("a limit of a share of pairs won", () => {
  const blocks = [
    { first: 3, second: 4, weight: 1 },
    { first: 5, second: 2, weight: 1 },
  ];

  it("lies as many of its own standard errors away as was asked, and turns round", () => {
    const upper = superiorityLimit(0.7, blocks, 1.96, 1);
    expect((upper - 0.7) / Math.sqrt(superiorityVariance(upper, blocks))).toBeCloseTo(1.96, 9);
    expect(superiorityLimit(0.3, blocks, 1.96, -1)).toBeCloseTo(1 - upper, 9);
  });

  it("never leaves 0 to 1", () => {
    expect(superiorityLimit(1, blocks, 1.96, 1)).toBe(1);
    expect(superiorityLimit(0, blocks, 1.96, -1)).toBe(0);
    expect(superiorityLimit(0.99, blocks, 3, 1)).toBeLessThanOrEqual(1);
  });
});
