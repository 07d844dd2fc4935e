import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import type { Block } from "../../../station/review/block.js";
import { rankDifference } from "../../../station/review/mann-whitney.js";
import { gradedDifference } from "../../../station/review/ordinal.js";

const grade = fc.integer({ min: 0, max: 3 });
const lot = (least: number, most: number) => fc.array(grade, { minLength: least, maxLength: most });
const someBlocks = fc.array(fc.record({ first: lot(0, 4), second: lot(0, 4) }), {
  minLength: 1,
  maxLength: 5,
});
const smallBlocks = fc.array(fc.record({ first: lot(1, 3), second: lot(1, 3) }), {
  minLength: 1,
  maxLength: 3,
});
const apart = (one: number | null, other: number | null) => Math.abs((one ?? -1) - (other ?? -1));

/** Every way in which a block's grades could have fallen to the two lots. */
function everyWay({ first, second }: Block): Block[] {
  const all = [...first, ...second];
  return Array.from({ length: 2 ** all.length }, (_, bits) => bits)
    .map((bits) => ({
      first: all.filter((_, i) => ((bits >> i) & 1) === 0),
      second: all.filter((_, i) => ((bits >> i) & 1) === 1),
    }))
    .filter((way) => way.second.length === second.length);
}

function everyWayOf(blocks: readonly Block[]): Block[][] {
  return blocks.reduce<Block[][]>(
    (ways, block) => ways.flatMap((before) => everyWay(block).map((way) => [...before, way])),
    [[]],
  );
}

/** The share of pairs won, each block weighing first · second / (both + 1), by comparing every piece with every other. */
function oftenBetter(blocks: readonly Block[]): number {
  let [won, whole] = [0, 0];
  for (const { first, second } of blocks) {
    const weight = 1 / (first.length + second.length + 1);
    for (const a of first)
      for (const b of second) {
        won += weight * (b > a ? 1 : b === a ? 0.5 : 0);
        whole += weight;
      }
  }
  return won / whole;
}

describe("grades of two lots in blocks", () => {
  it("have the estimate of comparing all pieces, and the p of all ways", () => {
    fc.assert(
      fc.property(smallBlocks, (blocks) => {
        const found = gradedDifference(blocks);
        expect(found.estimate).toBeCloseTo(oftenBetter(blocks), 9);
        const ways = everyWayOf(blocks).map(oftenBetter);
        const share = (fits: (value: number) => boolean) => ways.filter(fits).length / ways.length;
        const seen = oftenBetter(blocks);
        const tails = [share((value) => value <= seen + 1e-9), share((value) => value >= seen - 1e-9)];
        expect(found.p).toBeCloseTo(Math.min(1, 2 * Math.min(...tails)), 9);
      }),
      { numRuns: 60, seed: 1 },
    );
  });

  it("come to a p of a or less no more often than a, where the lots are alike", () => {
    fc.assert(
      fc.property(smallBlocks, (blocks) => {
        const ps = everyWayOf(blocks).map((way) => gradedDifference(way).p as number);
        for (const a of new Set(ps)) {
          expect(a).toBeGreaterThan(0);
          expect(a).toBeLessThanOrEqual(1);
          expect(ps.filter((p) => p <= a + 1e-9).length / ps.length).toBeLessThanOrEqual(a + 1e-6);
        }
        const { leastP } = gradedDifference(blocks);
        expect(Math.min(...ps)).toBeCloseTo(leastP, 9);
      }),
      { numRuns: 8, seed: 2 },
    );
  });

  it("turn round with the lots and with the scale, and keep what they were in another order or on another scale", () => {
    fc.assert(
      fc.property(someBlocks, (blocks) => {
        const here = gradedDifference(blocks);
        const swapped = gradedDifference(
          blocks.map(({ first, second }) => ({ first: second, second: first })),
        );
        const on = (of: (grade: number) => number) =>
          gradedDifference(
            blocks.map(({ first, second }) => ({ first: first.map(of), second: second.map(of) })),
          );
        const shuffled = gradedDifference(
          [...blocks]
            .reverse()
            .map(({ first, second }) => ({ first: [...first].reverse(), second: [...second].reverse() })),
        );
        for (const other of [swapped, on((each) => 3 - each)]) {
          expect(apart(other.p, here.p)).toBeLessThan(1e-9);
          if (here.estimate === null) continue;
          expect(other.estimate).toBeCloseTo(1 - here.estimate, 9);
          expect(other.lower).toBeCloseTo(1 - (here.upper as number), 6);
          expect(other.upper).toBeCloseTo(1 - (here.lower as number), 6);
        }
        for (const other of [shuffled, on((each) => 2 * each + 5)]) {
          for (const key of ["p", "estimate", "lower", "upper", "leastP"] as const)
            expect(apart(other[key], here[key])).toBeLessThan(1e-6);
        }
      }),
      { numRuns: 100, seed: 3 },
    );
  });

  it("have limits about the estimate, which leave out one half just where p says so", () => {
    fc.assert(
      fc.property(someBlocks, fc.constantFrom(0.8, 0.9, 0.95), (blocks, confidence) => {
        const { estimate, lower, upper, p } = gradedDifference(blocks, confidence);
        if (estimate === null || lower === null || upper === null || p === null) return;
        expect(lower).toBeLessThanOrEqual(estimate + 1e-9);
        expect(upper).toBeGreaterThanOrEqual(estimate - 1e-9);
        expect(lower).toBeGreaterThanOrEqual(0);
        expect(upper).toBeLessThanOrEqual(1);
        if (Math.abs(p - (1 - confidence)) > 1e-6) {
          expect(lower > 0.5 || upper < 0.5).toBe(p < 1 - confidence);
        }
      }),
      { numRuns: 200, seed: 4 },
    );
  });

  it("are, in one block, what ranks of two samples are", () => {
    const first = [0, 1, 1, 2, 0, 3];
    const second = [1, 2, 3, 3, 2];
    const [found, ranks] = [gradedDifference([{ first, second }]), rankDifference(first, second)];
    expect(found.p).toBeCloseTo(ranks.p as number, 12);
    expect(found.estimate).toBeCloseTo(ranks.superiority as number, 12);
  });

  it("say when they are too few to tell, or say nothing", () => {
    const clear = { first: [0, 0, 0], second: [2, 3, 3] };
    const few = gradedDifference([clear]);
    expect(few).toMatchObject({ estimate: 1, upper: 1, n: 6 });
    expect(few.p).toBeCloseTo(0.1, 12);
    expect(few.lower).toBeLessThan(0.5);
    expect(few.warnings).toEqual([
      "These grades are too few, or too much alike, to tell: p could not have been less than 0.1.",
    ]);
    expect(gradedDifference([clear, clear])).toMatchObject({ warnings: [] });
    const same = gradedDifference([{ first: [1, 1], second: [1, 1] }]);
    expect(same).toMatchObject({ estimate: 0.5, lower: 0, upper: 1, p: 1, leastP: 1 });
    expect(same.warnings).toEqual(["In no block do the grades differ: nothing can be told."]);
    const none = gradedDifference([
      { first: [1], second: [] },
      { first: [], second: [2, 3] },
    ]);
    expect(none).toMatchObject({ estimate: null, lower: null, upper: null, p: null, n: 0 });
    expect(none.warnings).toEqual(["No block has grades of both."]);
    expect(gradedDifference([]).p).toBeNull();
  });

  it("go by the normal curve where there are too many, and come to about the same", () => {
    const random = createRandom(17);
    const many = (n: number, better: number) =>
      Array.from({ length: n }, () => Math.floor(4 * random() ** better));
    const huge = gradedDifference([{ first: many(5000, 1), second: many(5000, 0.9) }]);
    expect(huge.warnings).toHaveLength(1);
    expect(huge.estimate).toBeGreaterThan(huge.lower as number);
    // One block of just so many is counted, and of one more is not.
    const first = many(39, 1);
    const second = many(40, 0.8);
    const counted = gradedDifference([{ first, second }]);
    const reckoned = gradedDifference([{ first: [...first, 1], second }]);
    expect([counted.warnings.length, reckoned.warnings.length]).toEqual([0, 1]);
    expect(Math.abs((counted.lower as number) - (reckoned.lower as number))).toBeLessThan(0.03);
    expect(Math.abs((counted.upper as number) - (reckoned.upper as number))).toBeLessThan(0.03);
  });

  it("claim nothing of many grades that are all one, nor that they are when they are not", () => {
    const many = (n: number, grade: number) => Array<number>(n).fill(grade);
    const alike = gradedDifference([{ first: many(60, 1), second: many(60, 1) }]);
    expect(alike).toMatchObject({ estimate: 0.5, lower: 0, upper: 1, p: 1, leastP: 1 });
    expect(alike.warnings).toEqual(["In no block do the grades differ: nothing can be told."]);
    const one = gradedDifference([{ first: many(60, 1), second: [2, ...many(59, 1)] }]);
    expect(one.method).toContain("normal curve");
    expect(one.leastP).toBeGreaterThan(0.3);
    // As far as the limits of how often one lot is better reach for so many pieces.
    expect(one.lower).toBeLessThan(0.45);
    expect(one.upper).toBeGreaterThan(0.56);
    const pair = gradedDifference([{ first: [0], second: [3] }]);
    expect(pair.leastP).toBe(1);
    expect(pair.warnings[0]).toMatch(/^These grades are too few/);
  });

  it("takes no grade that is none", () => {
    expect(() => gradedDifference([{ first: [1.5], second: [1] }])).toThrow(
      "A grade is a whole number of 0 or more",
    );
    expect(() => gradedDifference([{ first: [Number.NaN], second: [1] }])).toThrow(RangeError);
    expect(() => gradedDifference([{ first: [1], second: [1] }], 0)).toThrow(RangeError);
  });
});

describe("limits of how often one lot is better", () => {
  /** Proportional odds: each block has thresholds of its own, and the second lot's odds of a higher grade are e^shift as great. */
  const shares = (place: number) => {
    const above = [-1, 0.5, 2].map((cut) => 1 / (1 + Math.exp(cut - place)));
    return [1, ...above].map((share, i) => share - (above[i] ?? 0));
  };
  const often = (a: readonly number[], b: readonly number[]) =>
    b.reduce(
      (sum, share, i) =>
        sum + share * a.reduce((total, other, j) => total + (j < i ? other : j === i ? other / 2 : 0), 0),
      0,
    );

  it.each([
    [6, 3, 0],
    [6, 3, 1.5],
    [10, 2, 1],
    [4, 5, 2.5],
    [6, 4, 4],
  ])("hold in 19 of 20 seasons or more: %i blocks of %i and as many, log odds %d", (count, size, shift) => {
    const random = createRandom(83, count, Math.round(shift * 10));
    const tries = 400;
    let held = 0;
    for (let season = 0; season < tries; season++) {
      let truth = 0;
      const blocks = Array.from({ length: count }, () => {
        const place = 2 * random() - 0.5;
        const [one, other] = [shares(place), shares(place + shift)];
        truth += often(one, other) / count;
        const draw = (of: readonly number[]) => {
          const at = random();
          let below = 0;
          const drawn = of.findIndex((share) => {
            below += share;
            return at < below;
          });
          return Math.max(0, drawn);
        };
        const pieces = (of: readonly number[]) => Array.from({ length: size }, () => draw(of));
        return { first: pieces(one), second: pieces(other) };
      });
      const { lower, upper } = gradedDifference(blocks);
      if ((lower as number) <= truth && truth <= (upper as number)) held++;
    }
    // Three standard errors of so many tries are 0.033.
    expect(held / tries).toBeGreaterThan(0.95 - 0.033);
  });
});
