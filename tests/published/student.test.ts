import { describe, expect, it } from "vitest";
import { smallestShift, studentBelow, studentQuantile, USUAL_POWER } from "../../station/review/student.js";

/** In standard deviations between pieces of one lot, n of each. */
const smallest = (n: number, power = 0.8) =>
  smallestShift(2 * n - 2, Math.sqrt(n / 2), { ...USUAL_POWER, power });

describe("Student's t", () => {
  /** W. S. Gosset's table as in M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, Table 26.10 (from memory). */
  it.each([
    [1, 12.706],
    [4, 2.776],
    [10, 2.228],
    [30, 2.042],
    [120, 1.98],
  ])("with %d degrees of freedom has its quantile of 0.975 at %d", (freedom, t) => {
    expect(studentQuantile(0.975, freedom)).toBeCloseTo(t, 3);
  });

  /** The same tables at 1 degree of freedom (from memory), and scipy 1.17.1's `t.ppf` for 1.05 and 1.3. */
  it.each([
    [1, 0.9995, 636.619],
    [1, 0.99995, 6366.198],
    [1.05, 0.975, 11.362],
    [1.3, 0.975, 7.501],
  ])("with %d degrees has its quantile of %d at %d, however long the tail", (freedom, share, t) => {
    expect(studentQuantile(share, freedom)).toBeCloseTo(t, 3);
  });

  it("is Cauchy's with one degree of freedom, and the middle is the middle", () => {
    for (const t of [-3, -0.5, 0.2, 1, 8])
      expect(studentBelow(t, 1)).toBeCloseTo(0.5 + Math.atan(t) / Math.PI, 6);
    expect(studentBelow(0, 7)).toBeCloseTo(0.5, 12);
    expect(() => studentBelow(1, 0)).toThrow(RangeError);
  });
});

describe("the power of the t-test of two lots", () => {
  /** The example of `power.t.test` in R's own documentation, and the power of Cohen's n as power programs print it; from memory. */
  it.each([
    [20, 1, 0.8689528],
    [64, 0.5, 0.8014596],
    [26, 0.8, 0.8074866],
  ])("of %d pieces of each lot that are %d standard deviations apart is %d", (n, deviations, power) => {
    expect(smallest(n, power)).toBeCloseTo(deviations, 6);
  });

  it("is the level where there is no difference", () => {
    expect(smallest(6, 0.05 + 1e-9)).toBeLessThan(1e-3);
    expect(smallest(6, 0.051)).toBeGreaterThan(0.01);
  });

  /**
   * J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 1988, Table 2.4.1: n of each group for a power of 0.80 at the
   * two-sided level of 0.05. As the MRC Cognition and Brain Sciences Unit's page on unpaired t-tests prints them.
   */
  it.each([
    [0.2, 393],
    [0.5, 64],
    [0.8, 26],
    [1, 17],
  ])(
    "is 0.80 for a difference of %d deviations at Cohen's n of %d, to the next whole piece",
    (deviations, n) => {
      expect(smallest(n)).toBeLessThan(deviations + 2e-4);
      expect(smallest(n - 1)).toBeGreaterThan(deviations);
    },
  );

  it("finds with 3 against 3 what is three deviations apart", () => {
    expect(smallest(3)).toBeCloseTo(3.07, 2);
  });
});
