import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { fitFirthLine, tally } from "../../../station/review/firth-line.js";
import { type Ladder, pairsPower, smallestRatio } from "../../../station/trials/ladder-power.js";
import { ladderWords, piecesWords } from "../../../station/trials/plan-words.js";

const LADDER: Ladder = { slowestMmS: 10, fastestMmS: 20, rungs: 6, blocks: 3 };
const WIDTH = 0.05;

/** One plan cut in simulation: which lots were through at which rungs, the threshold a third of a rung off, at it, or on. */
function cutPlan(ladder: Ladder, ratio: number, seed: number) {
  const random = createRandom(seed);
  const step = Math.log(ladder.fastestMmS / ladder.slowestMmS) / (ladder.rungs - 1);
  const offset = ((seed % 3) - 1) / 3;
  const middle = ((ladder.rungs - 1) / 2 + offset) * step;
  const through = (x: number, side: number) =>
    random() < 1 / (1 + Math.exp((x - middle - (side * Math.log(ratio)) / 2) / WIDTH));
  return Array.from({ length: ladder.rungs * ladder.blocks }, (_, i) => {
    const x = (i % ladder.rungs) * step;
    return { x, faster: through(x, 1), slower: through(x, -1) };
  });
}

/** The two-sided sign test, by adding up all that is as uneven or more. */
function signP(plus: number, minus: number): number {
  const n = plus + minus;
  let p = 0;
  let ways = 1;
  for (let k = 0; k <= n; k++) {
    if (Math.abs(n - 2 * k) >= Math.abs(plus - minus)) p += ways / 2 ** n;
    ways = (ways * (n - k)) / (k + 1);
  }
  return p;
}

describe("the smallest difference that a ladder finds", () => {
  it.each([1.15, 1.35])("by pairs has the power of plans cut in simulation, at a ratio of %d", (ratio) => {
    let found = 0;
    const plans = 3000;
    for (let seed = 0; seed < plans; seed++) {
      const cuts = cutPlan(LADDER, ratio, seed);
      const plus = cuts.filter(({ faster, slower }) => faster && !slower).length;
      const minus = cuts.filter(({ faster, slower }) => slower && !faster).length;
      if (plus > minus && signP(plus, minus) <= 0.05) found += 1;
    }
    const power = pairsPower(LADDER, ratio, 0.05, WIDTH);
    // Four standard deviations of a share of 3000.
    expect(Math.abs(found / plans - power)).toBeLessThan(4 * Math.sqrt((power * (1 - power)) / plans));
  });

  it("by curves has the error that the ratio has in simulation, of plans of six blocks", () => {
    const ladder = { ...LADDER, blocks: 6 };
    const logs: number[] = [];
    for (let seed = 0; seed < 900; seed++) {
      const cuts = cutPlan(ladder, 1, seed);
      const threshold = (of: "faster" | "slower") => {
        const fit = fitFirthLine(tally(cuts.map((cut) => ({ x: cut.x, hit: cut[of] }))));
        return fit === null ? Number.NaN : -fit.intercept / fit.slope;
      };
      logs.push(threshold("faster") - threshold("slower"));
    }
    const sd = Math.sqrt(logs.reduce((sum, log) => sum + log ** 2, 0) / logs.length);
    // 2.8 errors: the normal's quantiles of 0.975 and 0.8.
    const { byCurves } = smallestRatio(ladder);
    expect(Math.log(byCurves) / (1.959964 + 0.841621) / sd).toBeGreaterThan(0.85);
    expect(Math.log(byCurves) / (1.959964 + 0.841621) / sd).toBeLessThan(1.15);
  });

  it("is where the power comes to what was asked for", () => {
    const { byPairs } = smallestRatio(LADDER);
    expect(pairsPower(LADDER, byPairs ?? 1, 0.05, WIDTH)).toBeCloseTo(0.8, 1);
    expect(pairsPower(LADDER, byPairs ?? 1, 0.05, WIDTH)).toBeGreaterThanOrEqual(0.8);
  });

  it("shrinks with every block, and with a steeper curve", () => {
    const of = (blocks: number, width = WIDTH) => smallestRatio({ ...LADDER, blocks }, undefined, width);
    expect(of(5).byPairs).toBeLessThan(of(3).byPairs ?? 0);
    expect(of(5).byCurves).toBeLessThan(of(3).byCurves);
    expect(of(3, 0.02).byPairs).toBeLessThan(of(3).byPairs ?? 0);
  });

  it("is none by pairs where there are too few of them", () => {
    expect(smallestRatio({ ...LADDER, rungs: 5, blocks: 1 }).byPairs).toBeNull();
    expect(pairsPower({ ...LADDER, rungs: 5, blocks: 1 }, 2, 0.05, WIDTH)).toBe(0);
  });

  it("is refused for a ladder that is none", () => {
    for (const wrong of [{ slowestMmS: 0 }, { fastestMmS: 5 }, { rungs: 1 }, { blocks: 0 }, { blocks: 1.5 }])
      expect(() => smallestRatio({ ...LADDER, ...wrong })).toThrow(RangeError);
    expect(() => smallestRatio(LADDER, undefined, 0)).toThrow(RangeError);
  });
});

describe("what a plan says of itself", () => {
  it("says that five pairs can never show anything, and what six can", () => {
    const five = piecesWords(5);
    expect(five).toMatchObject({ tooSmall: true, leastP: 2 / 32 });
    expect(five.sentences).toEqual([
      "Grades and measurements: 5 pairs of pieces are too few to show a difference, however large it is; 6 pairs are the fewest that can (p is never below 0.063).",
    ]);
    expect(piecesWords(6)).toMatchObject({ tooSmall: false, leastP: 2 / 64 });
    expect(piecesWords(6).sentences[0]).toMatch(/6 pairs of pieces can show a difference; .*p is 0\.031/);
    expect(piecesWords(6).sentences[1]).toMatch(/^Of what is measured.*\d\.\d times as large as the spread/);
    expect(piecesWords(1).sentences[0]).toContain("1 pair of pieces is too few");
    expect(() => piecesWords(0)).toThrow(RangeError);
  });

  it("says what a ladder finds, and that five pairs never show anything", () => {
    const five = ladderWords({ ...LADDER, rungs: 5, blocks: 1 }, 2);
    expect(five.tooSmall).toBe(true);
    expect(five.leastP).toBeCloseTo(0.0625, 12);
    expect(five.sentences[0]).toMatch(/5 pairs are too few .*p is never below 0\.063/);
    const three = ladderWords(LADDER, 2);
    expect(three.tooSmall).toBe(false);
    expect(three.sentences[0]).toMatch(
      /if one lot can be cut \d+ % faster than the other, that is found 8 times in 10/,
    );
    expect(three.sentences[2]).toContain("there is no source for it");
    expect(() => ladderWords(LADDER, 1)).toThrow(RangeError);
  });

  it("asks more of three lots than of two, for they are compared three times", () => {
    const faster = (lots: number) =>
      Number(/cut (\d+) % faster/.exec(ladderWords(LADDER, lots).sentences[0] ?? "")?.[1]);
    expect(faster(3)).toBeGreaterThan(faster(2));
  });
});
