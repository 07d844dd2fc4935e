import { describe, expect, it } from "vitest";
import { bySteps, weightedKappa } from "../../station/review/agreement.js";

/**
 * J. Cohen, "Weighted kappa: nominal scale agreement with provision for scaled disagreement or partial credit", Psychological
 * Bulletin 70 (1968), Table 1: 200 cases, two judges, three diagnoses, the graveness of each confusion. The cells are from memory;
 * both coefficients that the paper prints come out of them.
 */
const SHARES = [
  [0.44, 0.07, 0.09],
  [0.05, 0.2, 0.05],
  [0.01, 0.03, 0.06],
];
const GRAVENESS = [
  [0, 1, 3],
  [1, 0, 6],
  [3, 6, 0],
];
const PAIRS = SHARES.flatMap((row, first) =>
  row.flatMap((share, second) =>
    Array.from({ length: Math.round(share * 200) }, () => [first, second] as const),
  ),
);

describe("Cohen's table of 1968", () => {
  it("gives the weighted kappa that is printed with it, 0.348", () => {
    const { kappa, n } = weightedKappa(PAIRS, (first, second) => GRAVENESS[first]?.[second] ?? Number.NaN);
    expect(n).toBe(200);
    expect(kappa).toBeCloseTo(0.348, 3);
  });

  it("gives the kappa that is printed with it, 0.492, where every confusion is as grave", () => {
    const { kappa, same } = weightedKappa(PAIRS, (first, second) => (first === second ? 0 : 1));
    expect(kappa).toBeCloseTo(0.492, 3);
    expect(same).toBeCloseTo(0.7, 12);
  });
});

describe("weighted kappa", () => {
  it("is 1 for the same grades, and goes below 0 for the opposite ones", () => {
    const grades = [0, 1, 2, 3, 3, 1];
    expect(weightedKappa(grades.map((grade) => [grade, grade])).kappa).toBe(1);
    expect(
      weightedKappa(
        grades.map((grade) => [grade, 3 - grade]),
        bySteps,
      ).kappa,
    ).toBeLessThan(0);
  });

  it("is not defined for none, nor where every grade is the same", () => {
    expect(weightedKappa([])).toEqual({ kappa: null, n: 0, same: null });
    expect(
      weightedKappa([
        [2, 2],
        [2, 2],
      ]),
    ).toEqual({ kappa: null, n: 2, same: 1 });
  });
});
