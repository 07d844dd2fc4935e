import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { holm } from "../../station/review/holm.js";

describe("Holm's p values", () => {
  /** The worked example of the article "Holm–Bonferroni method" in the English Wikipedia (from memory): the first and last are rejected. */
  it("are those of a worked example, in the order they were given", () => {
    const found = holm([0.01, 0.04, 0.03, 0.005]) as number[];
    [0.03, 0.06, 0.06, 0.02].forEach((p, i) => {
      expect(found[i]).toBeCloseTo(p, 12);
    });
  });

  /**
   * Fifteen comparisons of two treatments after a heart attack: Y. Benjamini and Y. Hochberg, Journal of the Royal Statistical
   * Society B 57 (1995), section 3.2, who write that procedures that hold the familywise error at 0.05 reject the first three (from memory).
   */
  it("reject as many as the paper that compares such procedures says", () => {
    const ps = [
      ...[0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344],
      ...[0.0459, 0.324, 0.4262, 0.5719, 0.6528, 0.759, 1],
    ];
    expect(holm(ps).map((p) => (p as number) <= 0.05)).toEqual(ps.map((_, i) => i < 3));
  });

  it("never fall below what they were, rise with it, and leave one alone as it is", () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 12 }), (ps) => {
        const found = holm(ps) as number[];
        ps.forEach((p, i) => {
          expect(found[i]).toBeGreaterThanOrEqual(p);
          expect(found[i]).toBeLessThanOrEqual(Math.min(1, p * ps.length));
          ps.forEach((other, j) => {
            if (other <= p) expect(found[j]).toBeLessThanOrEqual(found[i] as number);
          });
        });
      }),
      { numRuns: 200, seed: 1 },
    );
    expect(holm([0.2])).toEqual([0.2]);
  });

  it("do not count tests that could not be made", () => {
    expect(holm([null, 0.02, null, 0.01])).toEqual([null, 0.02, null, 0.02]);
    expect(holm([])).toEqual([]);
    expect(() => holm([1.2])).toThrow(RangeError);
    expect(() => holm([Number.NaN])).toThrow(RangeError);
  });
});
