import { expect, it } from "vitest";
import { normalBelow, normalQuantile } from "../../station/review/normal.js";

/** M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), Tables 26.1, 26.2 and 26.5 (values from memory). */
it.each([
  [0, 0.5],
  [1, 0.841344746068543],
  [-1.96, 0.02499789514822],
  [3, 0.99865010196837],
  [-5, 2.866515718791933e-7],
  [-10, 7.619853024160495e-24],
])("the normal distribution below %d is %d", (z, share) => {
  expect(normalBelow(z) / share).toBeCloseTo(1, 10);
});

it("has no step where its two formulas meet", () => {
  expect(normalBelow(-4.0000001) / normalBelow(-4)).toBeCloseTo(1 - 4.226e-7, 9);
});

it.each([
  [0.95, 1.644853626951472],
  [0.975, 1.959963984540054],
  [0.995, 2.575829303548901],
])("its quantile of %d is %d", (share, z) => {
  expect(normalQuantile(share)).toBeCloseTo(z, 10);
});
