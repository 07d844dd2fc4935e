import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import type { Block } from "../../../station/review/block.js";
import { pairedDifference } from "../../../station/review/paired.js";
import { stratifiedPermutation } from "../../../station/review/stratified-permutation.js";

const undrawn = () => {
  throw new Error("Nothing is drawn where all labellings are looked at.");
};

describe("labels exchanged within blocks", () => {
  /**
   * R. A. Fisher, The Design of Experiments, 1935, section 21: C. Darwin's fifteen pairs of maize. Of the 32768 ways to exchange the
   * labels of pairs 863 give as large a sum or larger on the one side, 1726 on both (from memory): p = 0.0527.
   */
  const DARWIN = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48];

  it("are Fisher's of Darwin's maize", () => {
    const found = stratifiedPermutation(
      DARWIN.map((difference) => ({ first: [0], second: [difference] })),
      undrawn,
    );
    expect(found).toMatchObject({ exact: true, looked: 32768, n: 30, leastP: 2 / 32768 });
    expect(found.p).toBeCloseTo(1726 / 32768, 12);
    expect(found.estimate).toBeCloseTo(314 / 15, 9);
  });

  it("of one block are all ways to share its values out: 3 against 3 can never come below 0.10", () => {
    const found = stratifiedPermutation([{ first: [1, 2, 3], second: [7, 8, 9] }], undrawn);
    expect(found).toMatchObject({ looked: 20, p: expect.closeTo(0.1, 12), leastP: expect.closeTo(0.1, 12) });
    expect(found.estimate).toBeCloseTo(6, 12);
  });

  it("say nothing of a block with one lot, and do not mind how far apart the blocks are", () => {
    const blocks: Block[] = [
      { first: [1, 2], second: [3, 5] },
      { first: [101, 103], second: [104, 104] },
    ];
    const found = stratifiedPermutation(blocks, undrawn);
    const more = stratifiedPermutation([...blocks, { first: [50], second: [] }], undrawn);
    const far = stratifiedPermutation(
      blocks.map(({ first, second }, i) => ({
        first: first.map((value) => value + 1000 * i),
        second: second.map((value) => value + 1000 * i),
      })),
      undrawn,
    );
    expect(more).toEqual(found);
    expect(far.p).toBe(found.p);
    expect(stratifiedPermutation([{ first: [1], second: [] }], undrawn)).toMatchObject({
      p: null,
      estimate: null,
    });
    expect(() => stratifiedPermutation([{ first: [Number.NaN], second: [1] }], undrawn)).toThrow(RangeError);
  });

  it("are drawn where they are too many, and come out near the exact ones", () => {
    const random = createRandom(3);
    const pairs = Array.from({ length: 18 }, () => random() - 0.3);
    const blocks = pairs.map((difference) => ({ first: [0], second: [difference] }));
    const drawn = stratifiedPermutation(blocks, createRandom(4));
    // Of what was drawn p can come no lower.
    expect(drawn).toMatchObject({ exact: false, looked: 100_001, leastP: 1 / 100_001 });
    // All of the signs, by doubling: 2¹⁸ sums.
    let sums = [0];
    for (const difference of pairs) sums = sums.flatMap((sum) => [sum + difference, sum - difference]);
    const seen = Math.abs(pairs.reduce((sum, difference) => sum + difference, 0));
    const exact = sums.filter((sum) => Math.abs(sum) >= seen - 1e-9).length / sums.length;
    expect(Math.abs((drawn.p ?? 0) - exact)).toBeLessThan(5 * Math.sqrt(exact / 100_000));
  });

  it("come below a level no more often than it says, over all labellings of any values", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 6, maxLength: 6 }), (values) => {
        const ps: number[] = [];
        for (let mask = 0; mask < 8; mask++) {
          const blocks = [0, 1, 2].map((i): Block => {
            const pair = [values[2 * i] as number, values[2 * i + 1] as number] as const;
            return (mask >> i) & 1
              ? { first: [pair[0]], second: [pair[1]] }
              : { first: [pair[1]], second: [pair[0]] };
          });
          ps.push(stratifiedPermutation(blocks, undrawn).p as number);
        }
        for (const level of [0.25, 0.5, 0.75])
          expect(ps.filter((p) => p <= level + 1e-12).length / 8).toBeLessThanOrEqual(level + 1e-12);
      }),
    );
  });

  it("agree with the signed ranks about what can never be shown", () => {
    const five = [1, 2, 3, 4, 5];
    const found = stratifiedPermutation(
      five.map((difference) => ({ first: [0], second: [difference] })),
      undrawn,
    );
    expect(found.p).toBeCloseTo(pairedDifference(five).p as number, 12);
    expect(found.leastP).toBeCloseTo(0.0625, 12);
  });
});
