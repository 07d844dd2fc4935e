import { describe, expect, it } from "vitest";
import { chiSquareAbove } from "../../station/review/chi-square.js";
import { normalBelow } from "../../station/review/normal.js";

/**
 * Percentage points of chi-square: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, table 26.8 (from memory; the
 * NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.4, prints the same to three places).
 */
const POINTS = [
  [1, 0.1, 2.70554],
  [1, 0.05, 3.84146],
  [1, 0.01, 6.6349],
  [1, 0.001, 10.828],
  [2, 0.05, 5.99146],
  [2, 0.01, 9.21034],
  [3, 0.05, 7.81473],
  [3, 0.99, 0.114832],
  [4, 0.05, 9.48773],
  [5, 0.95, 1.145476],
  [5, 0.05, 11.0705],
  [6, 0.01, 16.8119],
  [7, 0.05, 14.0671],
  [10, 0.05, 18.307],
  [10, 0.01, 23.2093],
  [20, 0.05, 31.4104],
  [30, 0.05, 43.773],
] as const;

describe("the share of chi-square above a value", () => {
  it.each(POINTS)("is, at %d degrees of freedom, %d above %d", (freedom, share, value) => {
    // Half a unit of the last digit that is printed, of 10.828 a 2000th, moves the share by less.
    expect(Math.abs(chiSquareAbove(value, freedom) / share - 1)).toBeLessThan(3e-4);
  });

  it("is what a squared normal has beyond, at 1 degree of freedom, far out too", () => {
    for (const z of [0, 0.3, 2, 5, 9, 20])
      expect(chiSquareAbove(z * z, 1) / (2 * normalBelow(-z))).toBeCloseTo(1, 12);
  });

  it("is exponential at 2, also where the value is great, and never leaves 0 to 1", () => {
    expect(chiSquareAbove(1400, 2) / Math.exp(-700)).toBeCloseTo(1, 9);
    expect([chiSquareAbove(0, 1), chiSquareAbove(0, 2), chiSquareAbove(0, 7)]).toEqual([1, 1, 1]);
    expect(chiSquareAbove(Number.POSITIVE_INFINITY, 3)).toBe(0);
    expect(chiSquareAbove(5000, 5001)).toBeCloseTo(0.5, 1);
  });

  it("takes no other values", () => {
    expect(() => chiSquareAbove(-1, 1)).toThrow(RangeError);
    expect(() => chiSquareAbove(1, 1.5)).toThrow(RangeError);
    expect(() => chiSquareAbove(Number.NaN, 1)).toThrow(RangeError);
  });
});
