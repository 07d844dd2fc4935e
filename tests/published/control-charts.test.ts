import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { beganAt, cusum, usualCusum } from "../../station/review/cusum.js";
import { ewma } from "../../station/review/ewma.js";
import { MEAN_RANGE_OF_TWO, spreadOfMovingRanges } from "../../station/review/moving-range.js";

/**
 * NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: 20 values, target 50, standard deviation 2.0539 from before, the newest
 * counting 0.3. The printed means are those of an unrounded recursion; the printed limits, 47.4115 and 52.5884, are the lasting ones.
 */
const VALUES = [
  52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
  53.6, 52.1,
];
const MEANS = [
  50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
  49.92, 50.73, 51.23, 51.94, 51.99,
];

describe("the chart of weighted means", () => {
  it("has the handbook's means, limits and no signal", () => {
    const { points, firstSignal } = ewma(VALUES, { target: 50, sigma: 2.0539 });
    for (const [i, { mean }] of points.entries())
      expect(Math.abs(mean - (MEANS[i] as number))).toBeLessThan(0.00501);
    expect(firstSignal).toBeNull();
    // The first limits are narrower, by the square root of 1 − 0.7²; the last have all but reached the lasting ones.
    expect(points[0]?.upper).toBeCloseTo(50 + 3 * 2.0539 * 0.3, 9);
    expect(points.at(-1)?.upper).toBeCloseTo(52.5884, 4);
    expect(points.at(-1)?.lower).toBeCloseTo(47.4116, 4);
  });

  it("signals where a mean is beyond, either way, and not on the limit", () => {
    const options = { target: 0, sigma: 1, weight: 1, reach: 3 };
    expect(ewma([0, 3, -3, 3.001], options).firstSignal).toBe(3);
    expect(ewma([-3.001], options).firstSignal).toBe(0);
    expect(ewma([], options)).toMatchObject({ points: [], firstSignal: null });
  });

  it("is wider by what is not known of the target", () => {
    const options = { target: 50, sigma: 2.0539, weight: 1, reach: 3 };
    const [known] = ewma([50], options).points;
    const [estimated] = ewma([50], { ...options, targetError: 2.0539 / Math.sqrt(8) }).points;
    expect((estimated?.upper ?? 0) - 50).toBeCloseTo(((known?.upper ?? 0) - 50) * Math.sqrt(1 + 1 / 8), 9);
    for (const targetError of [-1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(() => ewma([50], { ...options, targetError })).toThrow(RangeError);
  });

  it("is refused where it cannot be", () => {
    for (const wrong of [{ sigma: 0 }, { weight: 0 }, { weight: 1.1 }, { reach: 0 }, { target: Number.NaN }])
      expect(() => ewma([1], { target: 0, sigma: 1, ...wrong })).toThrow(RangeError);
    expect(() => ewma([Number.NaN], { target: 0, sigma: 1 })).toThrow(RangeError);
  });
});

/** NIST/SEMATECH e-Handbook, 6.3.2.3: target 325, k = 0.3175, h = 4.1959; values and sums from memory. */
const DROPS = [
  324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15,
  328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35,
];
const HIGH = [0, 0, 0, 0, 0.03, 0, 0, 0, 0, 0, 0, 0, 3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.0, 19.04];
const LOW = [0, 0.01, 0, 0.33, 0, 0, 0.56, 0.72, 0.17, 0.25, 0.31, 0, 0, 0, 0, 0, 0, 0, 0, 0];

describe("the chart of cumulated sums", () => {
  it("has the handbook's sums and signals at the fourteenth value", () => {
    const chart = cusum(DROPS, { target: 325, allowance: 0.3175, limit: 4.1959 });
    for (const [i, { high, low }] of chart.points.entries()) {
      expect(Math.abs(high - (HIGH[i] as number))).toBeLessThan(0.00501);
      expect(Math.abs(low - (LOW[i] as number))).toBeLessThan(0.00501);
    }
    expect(chart.firstSignal).toBe(13);
    // The sum last stood at 0 before the thirteenth.
    expect(beganAt(chart.points, 13, "high")).toBe(12);
    expect(beganAt(chart.points, 19, "high")).toBe(12);
    expect(beganAt(chart.points, 10, "low")).toBe(6);
    expect(beganAt(chart.points, 0, "high")).toBe(0);
  });

  it("is turned round with its values, and moves and scales with their unit", () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { maxLength: 30 }), (values) => {
        const chart = cusum(values, usualCusum(0, 1));
        const turned = cusum(
          values.map((value) => 100 - 2 * value),
          usualCusum(100, 2),
        );
        for (const [i, { high, low }] of chart.points.entries()) {
          expect(turned.points[i]?.low).toBeCloseTo(2 * high, 6);
          expect(turned.points[i]?.high).toBeCloseTo(2 * low, 6);
        }
      }),
    );
  });

  it("is refused where it cannot be", () => {
    expect(() => cusum([1], { target: 0, allowance: -1, limit: 1 })).toThrow(RangeError);
    expect(() => cusum([1], { target: 0, allowance: 0, limit: 0 })).toThrow(RangeError);
    expect(() => cusum([Number.NaN], usualCusum(0, 1))).toThrow(RangeError);
  });
});

/** NIST/SEMATECH e-Handbook, 6.3.2.2: the flow rate of ten batches; the printed limits take 1.128 for d2 and a rounded mean range. */
const FLOWS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

describe("the spread from moving ranges", () => {
  it("gives the handbook's limits of individual values", () => {
    expect(MEAN_RANGE_OF_TWO).toBeCloseTo(1.128, 3);
    const spread = spreadOfMovingRanges(FLOWS) as number;
    expect(spread * MEAN_RANGE_OF_TWO).toBeCloseTo(1.8778, 4);
    const mean = FLOWS.reduce((sum, flow) => sum + flow, 0) / FLOWS.length;
    expect(mean).toBeCloseTo(50.81, 9);
    expect(Math.abs(mean + 3 * spread - 55.8041)).toBeLessThan(0.002);
    expect(Math.abs(mean - 3 * spread - 45.8159)).toBeLessThan(0.002);
  });

  it("is not known of one value, and refused for what is no number", () => {
    expect(spreadOfMovingRanges([])).toBeNull();
    expect(spreadOfMovingRanges([1])).toBeNull();
    expect(spreadOfMovingRanges([2, 2, 2])).toBe(0);
    expect(() => spreadOfMovingRanges([1, Number.NaN])).toThrow(RangeError);
  });
});
