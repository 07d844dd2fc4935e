import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { type ThresholdCut, thresholdSpeed } from "../../../station/review/threshold.js";

const cut = (speedMmS: number, through: boolean): ThresholdCut => ({ speedMmS, through });

/** A ladder of six rungs from 10 to 20 mm/s, cut again and again. */
function ladder(n: number, thresholdMmS: number, width: number, seed: number): ThresholdCut[] {
  const random = createRandom(seed);
  return Array.from({ length: n }, (_, i) => {
    const speedMmS = 10 * 2 ** ((i % 6) / 5);
    return cut(speedMmS, random() < 1 / (1 + (speedMmS / thresholdMmS) ** (1 / width)));
  });
}

describe("the threshold speed", () => {
  it("lies in the middle of the gap where slower cuts were through and faster ones not, with limits beyond the gap", () => {
    const cuts = [8, 9, 10, 16, 18, 20].map((speed) => cut(speed, speed < 12));
    const { half, surely, n } = thresholdSpeed(cuts);
    expect(n).toBe(6);
    // The same distances either way in ratios: 8, 10, 16, 20 about their middle.
    expect(half.estimate).toBeGreaterThan(10);
    expect(half.estimate).toBeLessThan(16);
    expect(half.lower).toBeLessThan(10);
    expect(half.upper).toBeGreaterThan(16);
    expect(surely.estimate).toBeLessThan(half.estimate ?? 0);
    expect(surely.lower).toBeLessThan(half.lower ?? 0);
  });

  it("turns with the scale: speeds twice as fast have thresholds twice as fast, and mirrored outcomes mirrored limits", () => {
    const cuts = ladder(24, 14, 0.05, 1);
    const once = thresholdSpeed(cuts);
    const twice = thresholdSpeed(cuts.map(({ speedMmS, through }) => cut(2 * speedMmS, through)));
    const mirrored = thresholdSpeed(cuts.map(({ speedMmS, through }) => cut(200 / speedMmS, !through)));
    for (const end of ["estimate", "lower", "upper"] as const) {
      expect((twice.half[end] ?? 0) / (once.half[end] ?? 0)).toBeCloseTo(2, 4);
      expect((twice.surely[end] ?? 0) / (once.surely[end] ?? 0)).toBeCloseTo(2, 4);
    }
    expect(200 / (mirrored.half.upper ?? 0)).toBeCloseTo(once.half.lower ?? 0, 3);
  });

  it("has limits of 90 % that hold the truth in 90 % of 200 simulated ladders of 12 cuts, or more", () => {
    let held = 0;
    let surelyHeld = 0;
    for (let seed = 0; seed < 200; seed++) {
      const truth = 11 + 7 * createRandom(seed, 1)();
      const { half, surely } = thresholdSpeed(ladder(12, truth, 0.04, seed));
      if ((half.lower ?? 0) <= truth && truth <= (half.upper ?? Number.POSITIVE_INFINITY)) held += 1;
      const sure = truth / 19 ** 0.04;
      if ((surely.lower ?? 0) <= sure && sure <= (surely.upper ?? Number.POSITIVE_INFINITY)) surelyHeld += 1;
    }
    expect(held).toBeGreaterThanOrEqual(180);
    expect(surelyHeld).toBeGreaterThanOrEqual(180);
  });

  it("is wider for more confidence", () => {
    const cuts = ladder(30, 14, 0.05, 2);
    const [some, most] = [thresholdSpeed(cuts, 0.8).half, thresholdSpeed(cuts, 0.99).half];
    expect(most.lower).toBeLessThan(some.lower ?? 0);
    expect(most.upper).toBeGreaterThan(some.upper ?? 0);
  });

  it("has one limit and a word where every cut was through, or none", () => {
    const speeds = [10, 12, 14, 16, 18, 20, 20, 20];
    const all = thresholdSpeed(speeds.map((speed) => cut(speed, true)));
    expect(all.half).toMatchObject({ estimate: null, upper: null });
    expect(all.half.lower).toBeGreaterThan(10);
    expect(all.half.lower).toBeLessThan(30);
    expect(all.warnings.join()).toContain("above 20 mm/s");
    const none = thresholdSpeed(speeds.map((speed) => cut(speed, false)));
    expect(none.half).toMatchObject({ estimate: null, lower: null });
    expect(none.half.upper).toBeGreaterThan(5);
    expect(none.warnings.join()).toContain("below 10 mm/s");
  });

  it("is not told, with a word why, from no cuts, one speed, or cuts that are through more often when faster", () => {
    const nothing = { estimate: null, lower: null, upper: null };
    expect(thresholdSpeed([])).toMatchObject({ half: nothing, warnings: ["There are no cuts yet."] });
    const one = thresholdSpeed([cut(10, true), cut(10, false)]);
    expect(one.half).toEqual(nothing);
    expect(one.warnings.join()).toContain("same speed");
    const odd = thresholdSpeed([8, 9, 10, 16, 18, 20].map((speed) => cut(speed, speed > 12)));
    expect(odd.half).toEqual(nothing);
    expect(odd.warnings.join()).toContain("something else changed");
  });

  it("refuses a speed that is none", () => {
    expect(() => thresholdSpeed([cut(0, true)])).toThrow(/above 0 mm\/s; this one has 0/);
    expect(() => thresholdSpeed([cut(Number.NaN, true)])).toThrow(RangeError);
    expect(() => thresholdSpeed([], 1)).toThrow(RangeError);
  });
});
