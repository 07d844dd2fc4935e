import { describe, expect, it } from "vitest";
import { gradedDifference } from "../../station/review/ordinal.js";
import { meanOf, type Sums, sumsOverBlocks, tailsOf } from "../../station/review/score-sums.js";
import { doubledRanks } from "../../station/review/signed-rank.js";

const grades = (counts: readonly number[]) =>
  counts.flatMap((count, grade) => Array.from({ length: count }, () => grade));

function variance(sums: Sums): number {
  const mean = meanOf(sums);
  return sums.shares.reduce((sum, share, i) => sum + share * (sums.least + i - mean) ** 2, 0);
}

/**
 * Pain of arthritis after treatment (none, some, marked improvement), placebo against active, within each sex: G. Koch and S. Edwards
 * (1988), as analysed in M. E. Stokes, C. S. Davis and G. G. Koch, Categorical Data Analysis Using the SAS System, which prints
 * 14.6319 for the row mean scores with table scores and 15.0041 with ranks divided by the size plus 1, van Elteren's (counts and
 * values from memory).
 */
describe("improvement of arthritis within each sex", () => {
  const female = { first: grades([19, 7, 6]), second: grades([6, 5, 16]) };
  const male = { first: grades([10, 0, 1]), second: grades([7, 2, 5]) };
  const blocks = [female, male];
  const size = ({ first, second }: typeof female) => first.length + second.length;

  it("has the published chi-square of its grades, from the mean and variance of all ways", () => {
    const sums = sumsOverBlocks(
      blocks.map(({ first, second }) => ({
        scores: [...first, ...second],
        chosen: second.length,
        weight: 1,
      })),
    );
    const seen = blocks.flatMap(({ second }) => second).reduce((sum, grade) => sum + grade, 0);
    expect((seen - meanOf(sums)) ** 2 / variance(sums)).toBeCloseTo(14.6319, 4);
  });

  it("has the published chi-square of van Elteren's ranks", () => {
    const ranked = blocks.map((block) => ({
      scores: doubledRanks([...block.first, ...block.second]),
      chosen: block.second.length,
      // 60 and 26 are the sizes plus 1.
      weight: size(block) === 59 ? 26 : 60,
    }));
    const sums = sumsOverBlocks(ranked);
    const seen = ranked.reduce(
      (sum, { scores, chosen, weight }) =>
        sum + weight * scores.slice(scores.length - chosen).reduce((total, score) => total + score, 0),
      0,
    );
    const chiSquare = (seen - meanOf(sums)) ** 2 / variance(sums);
    expect(chiSquare).toBeCloseTo(15.0041, 4);
    const { upTo, from } = tailsOf(sums, seen);
    const found = gradedDifference(blocks);
    expect(found.p).toBeCloseTo(2 * Math.min(upTo, from), 12);
    // The book prints p = 0.0001 of the chi-square.
    expect(found.p).toBeLessThan(0.0002);
    expect(found.n).toBe(84);
  });
});

/**
 * Rabbits cured or not by penicillin at once or after an hour and a half, at five doses: N. Mantel, "Chi-square tests with one degree of
 * freedom", 1963, in the examples of R's `mantelhaen.test`, which prints S = 16, p-value = 0.03994 for the exact test (counts and
 * values from memory). Its p is of all outcomes that are no likelier, which here are those of one tail twice.
 */
it("gives the published exact p of five tables of two outcomes", () => {
  const doses = [
    [0, 6, 0, 5],
    [3, 3, 0, 6],
    [6, 0, 2, 4],
    [5, 1, 6, 0],
    [2, 0, 5, 0],
  ] as const;
  const sums = sumsOverBlocks(
    doses.map(([cured, died, lateCured, lateDied]) => ({
      scores: [...grades([died, cured]), ...grades([lateDied, lateCured])],
      chosen: died + cured,
      weight: 1,
    })),
  );
  const seen = doses.reduce((sum, [cured]) => sum + cured, 0);
  expect(seen).toBe(16);
  const its = sums.shares[seen - sums.least] as number;
  const p = sums.shares.reduce((sum, share) => sum + (share <= its * (1 + 1e-7) ? share : 0), 0);
  expect(p).toBeCloseTo(0.03994, 5);
  expect(2 * tailsOf(sums, seen).from).toBeCloseTo(0.03994, 5);
});

/** Two pairs of samples, invented: the exact p of `scipy.stats.mannwhitneyu` 1.10.1, which agrees with that of R 4.2.2. */
it.each([
  [[12.1, 11.4, 13.0, 12.7, 11.9, 12.4], [13.6, 14.9, 12.9, 15.2, 14.1], 0.008658008658008658],
  [[1.1, 2.3, 3.7, 4.2, 6.8], [2.9, 5.1, 5.9, 7.3, 8.4, 9.6], 0.08225108225108226],
])("gives the exact p of Mann and Whitney's test for one block: %j and %j", (a, b, p) => {
  const places = doubledRanks([...a, ...b]);
  const found = gradedDifference([{ first: places.slice(0, a.length), second: places.slice(a.length) }]);
  expect(found.p).toBeCloseTo(p, 12);
});
