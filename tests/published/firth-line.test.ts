import { describe, expect, it } from "vitest";
import { fitFirthLine, penalisedLikelihood, type Tally, tally } from "../../station/review/firth-line.js";

/**
 * Two settings are a 2 × 2 table, where Firth's penalty comes to half a trial more in every cell (D. Firth, Biometrika 80, 1993,
 * section 3.3; the rule itself is J. B. S. Haldane's and F. J. Anscombe's of 1956; from memory).
 */
describe("Firth's penalised line", () => {
  it.each([
    [0, 5, 5, 0],
    [1, 4, 3, 2],
    [7, 0, 2, 9],
  ])("is the log odds with a half in each cell, for %d of it and %d against %d and %d", (a, b, c, d) => {
    const fit = fitFirthLine([
      { x: 2, hits: a, misses: b },
      { x: 5, hits: c, misses: d },
    ]);
    const odds = (hits: number, misses: number) => Math.log((hits + 0.5) / (misses + 0.5));
    expect(fit?.slope).toBeCloseTo((odds(c, d) - odds(a, b)) / 3, 8);
    expect((fit?.intercept ?? 0) + 2 * (fit?.slope ?? 0)).toBeCloseTo(odds(a, b), 8);
  });

  it("is where the penalised likelihood is greatest, at many settings and separated", () => {
    const rows: Tally[] = [
      { x: -1.2, hits: 1, misses: 0 },
      { x: -0.4, hits: 2, misses: 0 },
      { x: 0.1, hits: 0, misses: 1 },
      { x: 0.9, hits: 0, misses: 3 },
    ];
    const fit = fitFirthLine(rows);
    if (fit === null) throw new Error("There is no line.");
    expect(fit.penalised).toBeCloseTo(penalisedLikelihood(rows, fit.intercept, fit.slope), 9);
    for (const [da, db] of [
      [0.01, 0],
      [-0.01, 0],
      [0, 0.01],
      [0, -0.01],
      [0.01, -0.01],
    ] as const)
      expect(penalisedLikelihood(rows, fit.intercept + da, fit.slope + db)).toBeLessThan(fit.penalised);
  });

  it("does not change with where x is counted from, nor with the order of the trials", () => {
    const trials = [3, 1, 4, 1, 5, 9, 2, 6].map((x, i) => ({ x, hit: i % 3 === 0 }));
    const here = fitFirthLine(tally(trials));
    const there = fitFirthLine(tally(trials.map(({ x, hit }) => ({ x: x + 1000, hit })).reverse()));
    expect(there?.slope).toBeCloseTo(here?.slope ?? Number.NaN, 8);
    expect(there?.penalised).toBeCloseTo(here?.penalised ?? Number.NaN, 6);
  });

  it("is none for one setting alone", () => {
    expect(fitFirthLine([{ x: 1, hits: 3, misses: 2 }])).toBeNull();
    expect(fitFirthLine([])).toBeNull();
  });
});
