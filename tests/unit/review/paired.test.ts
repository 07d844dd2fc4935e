import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { normalQuantile } from "../../../station/review/normal.js";
import { fewestPairs, pairedDifference } from "../../../station/review/paired.js";
import { ratioLimits } from "../../../station/review/ratio-limits.js";

/** By brute force: every flip of every sign. */
function everyFlip(values: readonly number[]): number {
  const sizes = values.map(Math.abs);
  const rank = sizes.map(
    (size) =>
      sizes.filter((other) => other < size).length + (sizes.filter((other) => other === size).length + 1) / 2,
  );
  const sumOf = (signs: readonly number[]) =>
    rank.reduce((sum, each, i) => sum + (values[i] !== 0 && (signs[i] as number) > 0 ? each : 0), 0);
  const seen = sumOf(values);
  let low = 0;
  let high = 0;
  for (let flips = 0; flips < 2 ** values.length; flips++) {
    const sum = sumOf(values.map((_, i) => ((flips >> i) & 1 ? 1 : -1)));
    if (sum <= seen + 1e-9) low++;
    if (sum >= seen - 1e-9) high++;
  }
  return Math.min(1, (2 * Math.min(low, high)) / 2 ** values.length);
}

describe("a difference within pairs", () => {
  it("agrees with every flip of the signs, with ties and with pairs that do not differ", () => {
    for (const values of [
      [1, 1, 2, 0, -1, 3],
      [0, 0, 0, 1, 1, 1, 1, 1, 1],
      [-2, 1, 1, -1, 3, 2, 2, 0],
    ]) {
      expect(pairedDifference(values).p).toBeCloseTo(everyFlip(values), 12);
    }
  });

  it("has no limits below six pairs, and says so", () => {
    expect(fewestPairs(0.95)).toBe(6);
    const five = pairedDifference([1, 2, 3, 4, 5]);
    expect(five).toMatchObject({ lower: null, upper: null, p: 0.0625 });
    expect(five.warnings).toEqual(["5 pairs are too few to tell: 6 are the fewest that can."]);
    expect(pairedDifference([1, 2, 3, 4, 5, 6])).toMatchObject({
      lower: 1,
      upper: 6,
      p: 0.03125,
      warnings: [],
    });
    expect(pairedDifference([])).toMatchObject({ estimate: null, p: null, n: 0 });
  });

  it("takes no difference that is no number", () => {
    expect(() => pairedDifference([1, Number.NaN])).toThrow(RangeError);
  });

  it("holds the truth as often as it promises, of whole grades too", () => {
    const random = createRandom(41);
    const normal = () => normalQuantile(Math.min(1 - 1e-9, Math.max(1e-9, random())));
    const held = { smooth: 0, grades: 0 };
    const tries = 1500;
    for (let i = 0; i < tries; i++) {
      const smooth = Array.from({ length: 10 }, () => 0.7 + normal());
      const grades = smooth.map(() => Math.round(1 + normal()));
      const holds = (values: readonly number[], truth: number) => {
        const { lower, upper } = pairedDifference(values);
        return (lower as number) <= truth && truth <= (upper as number);
      };
      if (holds(smooth, 0.7)) held.smooth++;
      if (holds(grades, 1)) held.grades++;
    }
    // Of 10 pairs the exact share is 1 − 50/1024 = 0.951; three standard errors of 1500 tries are 0.017.
    expect(held.smooth / tries).toBeGreaterThan(0.93);
    expect(held.smooth / tries).toBeLessThan(0.97);
    expect(held.grades / tries).toBeGreaterThan(0.93);
  });
});

describe("limits of a ratio", () => {
  it("are those of a difference of logarithms where the limits are even", () => {
    const of = (middle: number, reach: number) => ({
      estimate: middle,
      lower: middle / reach,
      upper: middle * reach,
    });
    const found = ratioLimits(of(12, 1.2), of(10, 1.1));
    const reach = Math.exp(Math.hypot(Math.log(1.2), Math.log(1.1)));
    expect(found.estimate).toBeCloseTo(1.2, 12);
    expect(found.lower).toBeCloseTo(1.2 / reach, 12);
    expect(found.upper).toBeCloseTo(1.2 * reach, 12);
  });

  it("leave open what a missing limit leaves open", () => {
    const found = ratioLimits(
      { estimate: 12, lower: null, upper: 13 },
      { estimate: 10, lower: 9, upper: 11 },
    );
    expect([found.lower, found.upper === null]).toEqual([null, false]);
  });

  it("hold the truth about as often as the limits they are made of", () => {
    const random = createRandom(43);
    const normal = () => normalQuantile(Math.min(1 - 1e-9, Math.max(1e-9, random())));
    const figure = (truth: number, sd: number) => {
      const seen = Math.log(truth) + sd * normal();
      return {
        estimate: Math.exp(seen),
        lower: Math.exp(seen - 1.96 * sd),
        upper: Math.exp(seen + 1.96 * sd),
      };
    };
    let held = 0;
    for (let i = 0; i < 2000; i++) {
      const { lower, upper } = ratioLimits(figure(12, 0.05), figure(10, 0.12));
      if ((lower as number) <= 1.2 && 1.2 <= (upper as number)) held++;
    }
    expect(held / 2000).toBeGreaterThan(0.935);
    expect(held / 2000).toBeLessThan(0.965);
  });
});
