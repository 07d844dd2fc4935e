import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { conformalPlace } from "../../../station/review/conformal.js";

describe("the place of a run among comparable ones", () => {
  it("says of three that they are too few to tell, whatever it is", () => {
    const found = conformalPlace(99, [18, 18.5, 19]);
    expect(found).toMatchObject({
      p: 0.5,
      leastP: 0.5,
      below: 3,
      above: 0,
      median: 18.5,
      least: 18,
      most: 19,
    });
    expect(found.warnings).toEqual(["3 comparable runs are too few to tell: 39 are the fewest that can."]);
    expect(conformalPlace(1, [2]).warnings[0]).toMatch(/^1 comparable run is too few/);
    expect(conformalPlace(1, [])).toMatchObject({ p: null, median: null, least: null });
  });

  it("can tell with 39, and counts alike ones as no less odd", () => {
    const others = Array.from({ length: 39 }, (_, i) => i);
    expect(conformalPlace(40, others)).toMatchObject({ p: 0.05, warnings: [] });
    expect(conformalPlace(-1, others).p).toBeCloseTo(0.05, 12);
    expect(conformalPlace(19, others).p).toBe(1);
    expect(conformalPlace(38, others).p).toBeCloseTo(0.1, 12);
  });

  it("is at or below a level no more often than it says, whichever of the values is the odd one", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 2, maxLength: 25 }), (values) => {
        const ps = values.map(
          (value, i) =>
            conformalPlace(
              value,
              values.filter((_, j) => j !== i),
            ).p as number,
        );
        for (const level of [0.1, 0.25, 0.5])
          expect(ps.filter((p) => p <= level + 1e-12).length / ps.length).toBeLessThanOrEqual(level + 1e-12);
      }),
    );
  });

  it("does not go by the unit", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 9 }),
        fc.array(fc.integer({ min: 0, max: 9 }), { maxLength: 12 }),
        (value, others) => {
          const scaled = conformalPlace(
            1.8 * value + 32,
            others.map((other) => 1.8 * other + 32),
          );
          expect(scaled.p).toBe(conformalPlace(value, others).p);
        },
      ),
    );
    expect(() => conformalPlace(Number.NaN, [])).toThrow(RangeError);
  });
});
