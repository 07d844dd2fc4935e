import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { type SearchOptions, searchThrough, type TrialCut } from "../../../station/trials/search.js";

const OPTIONS: SearchOptions = {
  slowestMmS: 10,
  fastestMmS: 40,
  stepMmS: 0.5,
  within: 0.03,
  confidence: 0.9,
  mostCuts: 40,
};
const cut = (speedMmS: number, through: boolean): TrialCut => ({ speedMmS, through });

/** As an owner does: cuts what is asked for until told to stop. */
function run(options: SearchOptions, outcome: (speedMmS: number) => boolean) {
  const cuts: TrialCut[] = [];
  for (;;) {
    const state = searchThrough(cuts, options);
    if (state.nextMmS === null) return { cuts, state };
    cuts.push(cut(state.nextMmS, outcome(state.nextMmS)));
  }
}

const sloped = (thresholdMmS: number, width: number, random: () => number) => (speedMmS: number) =>
  random() < 1 / (1 + (speedMmS / thresholdMmS) ** (1 / width));

describe("the search for the fastest speed that cuts through", () => {
  it("begins in the middle of the range in ratios, or where it is told to", () => {
    expect(searchThrough([], OPTIONS)).toMatchObject({
      nextMmS: 20,
      chosenBy: "up-and-down",
      n: 0,
      stop: null,
    });
    expect(searchThrough([], { ...OPTIONS, firstMmS: 33.2 }).nextMmS).toBe(33);
  });

  it("goes up after a cut that is through and down after one that is not, until both outcomes were seen", () => {
    const up = searchThrough([cut(20, true)], OPTIONS);
    // An eighth of the range from 10 to 40: 20 · 4^(1/8) = 23.8.
    expect(up).toMatchObject({ nextMmS: 24, chosenBy: "up-and-down" });
    expect(searchThrough([cut(20, false)], OPTIONS)).toMatchObject({ nextMmS: 17, chosenBy: "up-and-down" });
    const both = searchThrough([cut(20, true), cut(24, false)], OPTIONS);
    expect(both.chosenBy).toBe("learning");
    expect(up.sentence).toMatch(
      /^After 1 cut the threshold lies between .*\. Next: 24 mm\/s, a step faster\.$/,
    );
    expect(both.sentence).toMatch(/After 2 cuts .* mm\/s, where a cut should tell the most\.$/);
    expect(searchThrough([], OPTIONS).sentence).toBe("Begin at 20 mm/s.");
    const fast = { ...OPTIONS, fastestMmS: 200, firstMmS: 123.5 };
    expect(searchThrough([], fast).sentence).toBe("Begin at 123.5 mm/s.");
    expect(both.nextMmS).toBeGreaterThan(19);
    expect(both.nextMmS).toBeLessThan(25);
  });

  it("ends within 3 % of a sharp threshold long before the cuts are used up, and says so", () => {
    const options = { ...OPTIONS, stepMmS: 0.1 };
    const { cuts, state } = run(options, (speed) => speed < 27.3);
    expect(state).toMatchObject({ stop: "within", chosenBy: null });
    expect(cuts.length).toBeLessThan(25);
    expect(state.lowerMmS).toBeLessThan(27.3);
    expect(state.upperMmS).toBeGreaterThan(27.3);
    expect(state.upperMmS / state.estimateMmS).toBeLessThanOrEqual(1.03);
    expect(state.lowerMmS / state.estimateMmS).toBeGreaterThanOrEqual(0.97);
    expect(state.sentence).toMatch(/within 3 % as asked/);
  });

  it("finds sloping thresholds: limits of 90 % hold the truth in 45 of 60 searches and more", () => {
    // 54 are expected; one time in ten thousand there are fewer than 45.
    let held = 0;
    for (let seed = 0; seed < 60; seed++) {
      const truth = 15 * 2 ** createRandom(seed, 1)();
      const random = createRandom(seed, 2);
      const { state } = run({ ...OPTIONS, stepMmS: 0.1, mostCuts: 15 }, sloped(truth, 0.04, random));
      if (state.lowerMmS <= truth && truth <= state.upperMmS) held += 1;
    }
    expect(held).toBeGreaterThanOrEqual(45);
  });

  it("stops at the most cuts allowed", () => {
    const random = createRandom(5);
    const { cuts, state } = run({ ...OPTIONS, mostCuts: 7 }, sloped(20, 0.1, random));
    expect(cuts).toHaveLength(7);
    expect(state.stop).toBe("most-cuts");
    expect(state.sentence).toContain("7 cuts, the most that you allowed");
  });

  it("stops where the machine can set nothing closer", () => {
    const { state } = run({ ...OPTIONS, stepMmS: 5, within: 0.01 }, (speed) => speed < 22);
    expect(state.stop).toBe("step");
    expect(state.upperMmS - state.lowerMmS).toBeLessThanOrEqual(5);
  });

  it("says that the threshold lies beyond the speeds allowed, after two cuts at the end and not before", () => {
    const fast = run(OPTIONS, () => true);
    expect(fast.state.stop).toBe("all-through");
    expect(fast.state.sentence).toContain("above 40 mm/s");
    expect(fast.cuts.filter(({ speedMmS }) => speedMmS === 40).length).toBeGreaterThanOrEqual(2);
    expect(fast.cuts.length).toBeLessThan(16);
    const slow = run(OPTIONS, () => false);
    expect(slow.state.stop).toBe("none-through");
    expect(slow.state.sentence).toContain("below 10 mm/s");
  });

  it("wants to see the fastest speed cut, however often one just below it was through", () => {
    const below = Array.from({ length: 12 }, () => cut(39.5, true));
    expect(searchThrough(below, OPTIONS)).toMatchObject({ stop: null, nextMmS: 40 });
    expect(searchThrough([...below, cut(40, true), cut(40, true)], OPTIONS).stop).toBe("all-through");
  });

  it("does not say so of a threshold just inside the fastest speed", () => {
    const { state } = run({ ...OPTIONS, stepMmS: 0.1 }, (speed) => speed < 38.5);
    expect(state.stop).toBe("within");
  });

  it("goes on with cuts that contradict each other, with wide limits and a warning", () => {
    const odd = [12, 14, 16, 25, 30, 35].map((speed) => cut(speed, speed > 20));
    const state = searchThrough(odd, OPTIONS);
    expect(state.stop).toBeNull();
    expect(state.upperMmS / state.lowerMmS).toBeGreaterThan(1.5);
    expect(state.warnings.join()).toContain("what else changed");
    expect(searchThrough(odd.slice(0, 2), OPTIONS).warnings).toEqual([]);
  });

  it("knows the speed that is through 19 times in 20 to be slower", () => {
    const { surely, estimateMmS, lowerMmS } = searchThrough([cut(20, true), cut(24, false)], OPTIONS);
    expect(surely.estimateMmS).toBeLessThan(estimateMmS);
    expect(surely.lowerMmS).toBeLessThan(lowerMmS);
  });

  it("depends on the cuts and not on their order, once both outcomes were seen; any cuts give a speed that can be set, or a reason", () => {
    const anyCut = fc.record({
      speedMmS: fc.double({ min: 1, max: 100, noNaN: true }),
      through: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(anyCut, { maxLength: 12 }), (cuts) => {
        const state = searchThrough(cuts, OPTIONS);
        expect(state.lowerMmS).toBeLessThan(state.estimateMmS);
        expect(state.estimateMmS).toBeLessThan(state.upperMmS);
        expect(state.nextMmS === null).toBe(state.stop !== null);
        if (state.nextMmS !== null) {
          expect(state.nextMmS).toBeGreaterThanOrEqual(10);
          expect(state.nextMmS).toBeLessThanOrEqual(40);
          expect(Number.isInteger(state.nextMmS / 0.5)).toBe(true);
        }
        if (state.chosenBy === "learning") {
          const turned = searchThrough([...cuts].reverse(), OPTIONS);
          expect(turned.estimateMmS).toBeCloseTo(state.estimateMmS, 6);
          if (turned.chosenBy === "learning") expect(turned.nextMmS).toBe(state.nextMmS);
        }
      }),
      { numRuns: 60 },
    );
  });

  it.each([
    [{ slowestMmS: 0 }, "slowest speed is above 0"],
    [{ fastestMmS: 10 }, "the fastest is faster"],
    [{ stepMmS: 0 }, "step of speed is above 0"],
    [{ stepMmS: 50 }, "a step of the machine, or more"],
    [{ firstMmS: 41 }, "first speed"],
    [{ within: 3 }, "0.03 is 3 %"],
    [{ confidence: 0.5 }, "confidence"],
    [{ mostCuts: 0 }, "most cuts"],
  ])("refuses %j with words", (wrong, words) => {
    expect(() => searchThrough([], { ...OPTIONS, ...wrong })).toThrow(words);
  });

  it("refuses a cut at no speed", () => {
    expect(() => searchThrough([cut(-1, true)], OPTIONS)).toThrow(/above 0 mm\/s; this one has -1/);
  });
});
