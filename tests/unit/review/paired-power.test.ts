import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { attainedLevel, fewestPairs, pairedDifference } from "../../../station/review/paired.js";
import { smallestPairedDeviations } from "../../../station/review/paired-power.js";

const DRAWN = 4000;

/** G. E. P. Box and M. E. Muller's (1958). */
function normal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

/** How often limits leave 0 out, where the lots are `apart` deviations apart. */
function foundShare(pairs: number, apart: number): number {
  const random = createRandom(20, pairs);
  let found = 0;
  for (let i = 0; i < DRAWN; i++) {
    const differences = Array.from({ length: pairs }, () => apart + normal(random) - normal(random));
    const { lower, upper } = pairedDifference(differences);
    if ((lower ?? 0) > 0 || (upper ?? 0) < 0) found += 1;
  }
  return found / DRAWN;
}

describe("what pairs find", () => {
  it.each([6, 8, 12, 24])("with %d pairs is found 8 times in 10, of drawn samples", (pairs) => {
    const apart = smallestPairedDeviations(pairs) as number;
    // Four standard errors of a share of 0.8 among so many are 0.025; the rest is the approximation's.
    expect(Math.abs(foundShare(pairs, apart) - 0.8)).toBeLessThan(0.04);
  });

  it("is nothing where there are fewer than can have limits", () => {
    expect(smallestPairedDeviations(fewestPairs(0.95) - 1)).toBeNull();
    expect(smallestPairedDeviations(fewestPairs(0.95))).toBeGreaterThan(0);
  });

  /** W. J. Conover, Practical Nonparametric Statistics, Table A12 of the signed ranks: 2/64 for 6 pairs, 0.0391 for 8 (from memory). */
  it("attains the level that the steps of the ranks allow", () => {
    expect(attainedLevel(5, 0.05)).toBe(0);
    expect(attainedLevel(6, 0.05)).toBeCloseTo(2 / 64, 12);
    expect(attainedLevel(8, 0.05)).toBeCloseTo(0.0390625, 12);
  });

  it("is said to be apart as often as that, where there is no difference", () => {
    expect(Math.abs(foundShare(12, 0) - attainedLevel(12, 0.05))).toBeLessThan(0.014);
  });
});
