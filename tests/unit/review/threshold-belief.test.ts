import { describe, expect, it } from "vitest";
import { type Tally, tally } from "../../../station/review/firth-line.js";
import {
  believe,
  believedBelow,
  believedQuantile,
  expectedVariance,
  type ThresholdBelief,
} from "../../../station/review/threshold-belief.js";

const RANGE = { from: 2, to: 4 };
const ROWS: Tally[] = tally([2.5, 2.8, 3, 3.05, 3.1, 3.2].map((x, i) => ({ x, hit: x < 3.02 || i === 4 })));

function moments({ centres, weights }: ThresholdBelief): { mean: number; variance: number } {
  let mean = 0;
  let square = 0;
  for (const [i, weight] of weights.entries()) {
    const centre = centres[i % centres.length] as number;
    mean += weight * centre;
    square += weight * centre ** 2;
  }
  return { mean, variance: square - mean ** 2 };
}

describe("what is believed of a threshold", () => {
  it("is the range, evenly, before anything was cut", () => {
    const belief = believe([], RANGE);
    for (const share of [0.05, 0.25, 0.5, 0.9])
      expect(believedQuantile(belief, share)).toBeCloseTo(2 + 2 * share, 6);
  });

  it("is what Bayes' rule gives by plain sums over a fine grid", () => {
    const belief = believe(ROWS, RANGE);
    let sum = 0;
    let below = 0;
    let surelyBelow = 0;
    for (const width of belief.widths) {
      const prior = Math.exp(-((Math.log(width / 0.05) / 1) ** 2) / 2);
      for (let centre = 2.00005; centre < 4; centre += 0.0001) {
        let weight = prior;
        for (const { x, hits, misses } of ROWS) {
          const p = 1 / (1 + Math.exp((x - centre) / width));
          weight *= p ** hits * (1 - p) ** misses;
        }
        sum += weight;
        if (centre < 3.05) below += weight;
        if (centre - width * Math.log(19) < 2.9) surelyBelow += weight;
      }
    }
    expect(believedBelow(belief, 3.05)).toBeCloseTo(below / sum, 3);
    expect(believedBelow(belief, 2.9, Math.log(19))).toBeCloseTo(surelyBelow / sum, 2);
    expect(believedBelow(belief, believedQuantile(belief, 0.3))).toBeCloseTo(0.3, 6);
  });

  it("expects of a cut the variance that its two outcomes leave, each as often as it is believed to come", () => {
    const belief = believe(ROWS, RANGE);
    for (const x of [2.7, 3, 3.07, 3.3]) {
      let hit = 0;
      for (const [i, weight] of belief.weights.entries()) {
        const width = belief.widths[Math.floor(i / belief.centres.length)] as number;
        hit += weight / (1 + Math.exp((x - (belief.centres[i % belief.centres.length] as number)) / width));
      }
      const left = (hits: number) =>
        moments(believe([...ROWS, { x, hits, misses: 1 - hits }], RANGE)).variance;
      const expected = hit * left(1) + (1 - hit) * left(0);
      expect(expectedVariance(belief, x) / expected).toBeCloseTo(1, 1);
      expect(expectedVariance(belief, x)).toBeLessThan(moments(belief).variance);
    }
  });

  it("holds for very narrow and very wide beliefs, and the wildest cuts", () => {
    const steps = tally(
      Array.from({ length: 60 }, (_, i) => ({ x: 3 + (i % 2 === 0 ? 0.001 : -0.001), hit: i % 2 === 1 })),
    );
    expect(believedQuantile(believe(steps, RANGE), 0.5)).toBeCloseTo(3, 3);
    const wild = believe(
      [
        { x: -300, hits: 0, misses: 9 },
        { x: 300, hits: 9, misses: 0 },
      ],
      RANGE,
    );
    expect(wild.weights.every((weight) => weight >= 0)).toBe(true);
    expect(believedQuantile(wild, 0.5)).toBeCloseTo(3, 1);
  });

  it("refuses a range that is none", () => {
    expect(() => believe([], { from: 1, to: 1 })).toThrow(RangeError);
    expect(() => believe([], { from: 0, to: Number.POSITIVE_INFINITY })).toThrow(RangeError);
  });
});
