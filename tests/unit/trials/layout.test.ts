import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { layBlocks, leastP } from "../../../station/trials/layout.js";

const randomOf = (seed: number) => (block: number) => createRandom(seed, block);

describe("the blocks of a plan", () => {
  it.each([
    [1, 1, 1],
    [2, 5, 3],
    [4, 6, 2],
  ])("of %d lots, %d rungs and %d replicates have every cut once each", (lots, rungs, replicates) => {
    const blocks = layBlocks(lots, rungs, replicates, randomOf(1));
    expect(blocks).toHaveLength(replicates);
    for (const block of blocks) {
      const names = block.map(({ lot, rung }) => `${lot}/${rung}`);
      expect(names).toHaveLength(lots * rungs);
      expect(new Set(names).size).toBe(lots * rungs);
      for (const { lot, rung } of block) expect(lot < lots && rung < rungs).toBe(true);
    }
  });

  it("are the same for the same seed, and one that is added leaves the others alone", () => {
    const three = layBlocks(2, 5, 3, randomOf(9));
    expect(layBlocks(2, 5, 4, randomOf(9)).slice(0, 3)).toEqual(three);
    expect(layBlocks(2, 5, 3, randomOf(10))).not.toEqual(three);
  });

  it("put every lot first about as often as the other", () => {
    const firsts = layBlocks(2, 3, 4000, randomOf(3)).map(([first]) => first?.lot);
    const share = firsts.filter((lot) => lot === 0).length / firsts.length;
    // Four standard deviations of a share of 4000 throws of a coin.
    expect(Math.abs(share - 0.5)).toBeLessThan(4 * Math.sqrt(0.25 / 4000));
  });

  it("are refused for no lot, or half a block", () => {
    for (const [lots, rungs, replicates] of [
      [0, 1, 1],
      [2, 0, 1],
      [2, 3, 1.5],
    ] as const)
      expect(() => layBlocks(lots, rungs, replicates, randomOf(1))).toThrow(RangeError);
  });
});

describe("the least p that a plan can come to", () => {
  it("is that of Fisher's exact test for the most different outcomes there can be", () => {
    // Three against three: 2 / C(6, 3) = 0.10. Fisher's tea tasting, four cups against four: 1 of 70 one-sided (The Design of
    // Experiments, 1935, chapter 2; from memory), twice that two-sided.
    expect(leastP([3])).toBeCloseTo(0.1, 12);
    expect(leastP([4])).toBeCloseTo(2 / 70, 12);
  });

  it("multiplies over strata, and pairs are the sign test: five of them 2 / 2⁵", () => {
    expect(leastP([1, 1, 1, 1, 1])).toBeCloseTo(0.0625, 12);
    expect(leastP([2, 2])).toBeCloseTo(2 / 36, 12);
    expect(leastP([])).toBe(1);
    expect(leastP([1])).toBe(1);
  });
});
