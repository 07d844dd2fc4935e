import { describe, expect, it } from "vitest";
import { REVIEW_CONDITIONS, type ReviewRun } from "../../../../station/model/review.js";
import { createRandom } from "../../../../station/random.js";
import { reviewMaterials } from "../../../../station/review/questions/materials.js";
import { stocksOf } from "../../../../station/review/questions/stocks.js";
import { history, type Truth } from "../../../bench/histories.js";

const [BIRCH, POPLAR] = ["Birch ply", "Poplar ply"];
function compared(
  runs: readonly ReviewRun[],
  names: readonly [string, string] = [BIRCH, POPLAR] as [string, string],
) {
  const stocks = stocksOf(runs);
  const [first, second] = names.map((name) => {
    const found = stocks.find((stock) => stock.name === name);
    return found ?? { name, n: 0, of: () => false };
  });
  return reviewMaterials(runs, first as (typeof stocks)[0], second as (typeof stocks)[0], REVIEW_CONDITIONS);
}
const season = (truth: Omit<Truth, "runs">, key: number, runs = 96) => history({ runs, ...truth }, 91, key);

describe("which of two stocks is better", () => {
  it("names the one that is 20 % faster, with limits that hold it", () => {
    const answer = compared(season({ ratio: 1.2 }, 1));
    expect(answer.verdict).toBe(POPLAR);
    expect(answer.lower).toBeLessThan(1.2);
    expect(answer.upper).toBeGreaterThan(1.2);
    expect(answer.sentence).toMatch(/^Poplar ply cuts through faster.* times that of Birch ply, limits/);
    expect(answer.speeds[1].estimate).toBeGreaterThan(answer.speeds[0].estimate as number);
  });

  it("is the same when the two change places", () => {
    const runs = season({ ratio: 1.1 }, 2);
    const [one, other] = [compared(runs), compared(runs, [POPLAR, BIRCH] as [string, string])];
    expect(other.verdict).toBe(one.verdict);
    expect(1 / (other.estimate as number)).toBeCloseTo(one.estimate as number, 6);
    expect(1 / (other.upper as number)).toBeCloseTo(one.lower as number, 3);
    expect(other.p).toBeCloseTo(one.p as number, 8);
  });

  it("does not hang on the unit of the speed, nor on the order of the runs", () => {
    const runs = season({ ratio: 1.1 }, 2);
    const other = compared(
      [...runs].reverse().map((run) => ({ ...run, speed_mm_s: (run.speed_mm_s as number) * 0.06 })),
    );
    const one = compared(runs);
    expect(other.verdict).toBe(one.verdict);
    expect(other.estimate).toBeCloseTo(one.estimate as number, 6);
    expect(other.lower).toBeCloseTo(one.lower as number, 3);
  });

  it("names the same next cut in whatever order the runs come", () => {
    const runs = season({ ratio: 1.1 }, 17, 24);
    const [one, other] = [compared(runs), compared([...runs].reverse())];
    expect(one.next[0]?.sentence).toMatch(
      /^One more cut of \w+ ply at \d+\.\d mm\/s at 60 % and 1 pass would bring/,
    );
    expect(other.next).toEqual(one.next);
  });

  it("finds as many of the labels apart as it says, where they are given out by chance", () => {
    const runs = season({ ratio: 1 }, 12, 60);
    const random = createRandom(92);
    const ps = Array.from({ length: 200 }, () => {
      const labels = runs.map((_, i) => (i % 2 === 0 ? BIRCH : POPLAR));
      for (let i = labels.length - 1; i > 0; i--) {
        const j = Math.floor(random() * (i + 1));
        [labels[i], labels[j]] = [labels[j] as string, labels[i] as string];
      }
      const dealt = runs.map((run, i) => ({ ...run, material: labels[i] as string, conditions: {} }));
      return compared(dealt).p as number;
    });
    const upTo = (level: number) => ps.filter((p) => p <= level).length / ps.length;
    // Of 200 these vary by 0.035 and 0.021.
    expect(Math.abs(upTo(0.5) - 0.5)).toBeLessThan(0.11);
    expect(Math.abs(upTo(0.1) - 0.1)).toBeLessThan(0.065);
  });

  it("says that two of a kind are as good as the same, within what", () => {
    const answer = compared(season({ ratio: 1 }, 4, 300));
    expect(answer.verdict).toBe("equivalent");
    expect(answer.sentence).toMatch(/as good as the same.*within [1-9] % of each other/);
  });

  it("calls a drift of the coolant what it is", () => {
    const answer = compared(season({ ratio: 1, effects: { coolant_C: -1.5 }, warmer: 2 }, 3));
    expect(answer.plain.p).toBeLessThan(0.05);
    expect([BIRCH, POPLAR]).not.toContain(answer.verdict);
    expect(answer.sentence).toMatch(
      /^Poplar ply looked \d+ % slower than Birch ply, and coolant explains it: coolant was \d\.\d °C higher for Poplar ply/,
    );
    expect(answer.beside).toContain("coolant_C");
    expect(answer.overturn[0]).toMatch(
      /^Coolant was .* \d\.\d °C more would have to change the fastest speed by −\d+ %; these runs show −/,
    );
  });

  it("cannot tell where the coolant lay apart for the two altogether", () => {
    const answer = compared(season({ ratio: 1.3, warmer: 9 }, 5));
    expect(answer.verdict).toBe("cannot tell");
    expect(answer.sentence).toMatch(
      /^Cannot tell: .*coolant was \d\.\d °C higher for Poplar ply, and what that did cannot be told from the stock/,
    );
  });

  it("warns where all of one was cut before the other", () => {
    const runs = season({ ratio: 1.1 }, 6).map((run, i) => ({
      ...run,
      wall: Date.UTC(2026, 4, 1) + (run.material === BIRCH ? i : i + 500) * 60_000,
    }));
    expect(compared(runs).warnings.join(" ")).toContain("All of Birch ply was cut before any of Poplar ply");
  });

  it("says that power went with the stock, or is known of one alone, and names neither", () => {
    const runs = season({ ratio: 1.2 }, 13);
    const powered = (power: (run: ReviewRun) => number | null) =>
      compared(runs.map((run) => ({ ...run, power_pct: power(run) })));
    const apart = powered(({ material }) => (material === BIRCH ? 60 : 80));
    expect(apart.verdict).toBe("cannot tell");
    expect(apart.sentence).toBe(
      "Cannot tell Birch ply and Poplar ply apart: the power was 60 % for Birch ply and 80 % for Poplar ply. Cut both with the same power.",
    );
    expect(apart.next[0]?.sentence).toBe("Cut both with the same power.");
    const unknown = powered(({ material }) => (material === BIRCH ? 60 : null));
    expect(unknown.verdict).toBe("cannot tell");
    expect(unknown.sentence).toContain("the power is not known for Poplar ply and may have been another");
    const varied = powered(({ id }) => (Number(id) % 4 < 2 ? 60 : 66));
    expect(varied.verdict).toBe(POPLAR);
  });

  it("is not kept from an answer by a condition that is known in one run of each", () => {
    const runs = season({ ratio: 1.3 }, 14).map((run, i) => ({
      ...run,
      conditions: i < 2 ? { room_C: 15 + 5 * i } : {},
    }));
    expect(compared(runs).verdict).toBe(POPLAR);
  });

  it("says that one speed alone tells nothing of the fastest", () => {
    const runs = season({ ratio: 1.2 }, 15).map((run) => ({ ...run, speed_mm_s: 20 }));
    expect(compared(runs).sentence).toMatch(
      /apart by speed: all were cut at 20 mm\/s .* Cut both at more speeds\.$/,
    );
  });

  it("does not take a material for a lot of another that is written alike", () => {
    const runs = season({ ratio: 1 }, 16, 40).map((run, i) => ({
      ...run,
      ...(i % 4 === 0 ? { material: "Ply 3", lot: null } : { material: "Ply", lot: String((i % 2) + 2) }),
    }));
    const stocks = stocksOf(runs);
    for (const { name, n, of: isOf } of stocks) expect(runs.filter(isOf), name).toHaveLength(n);
    expect(new Set(stocks.map(({ name }) => name)).size).toBe(stocks.length);
  });

  it("says what is missing where one was never cut, or all went one way", () => {
    const runs = season({ ratio: 1.1 }, 7);
    const alone = compared(runs.filter(({ material }) => material === BIRCH));
    expect(alone.sentence).toBe(
      "Cannot tell: of Poplar ply there is no run whose speed and outcome are known.",
    );
    expect(alone.next[0]?.sentence).toBe("Cut Poplar ply at the speeds at which Birch ply was cut.");
    const through = compared(runs.map((run) => ({ ...run, through: true })));
    expect(through.sentence).toMatch(/every cut of either went through .* Cut both faster\.$/);
  });

  it("holds pieces against each other within their block and speed, exactly", () => {
    // Six blocks in which the second was through and the first was not: 2 · 1/2⁶, R. A. Fisher's sign test by hand.
    const runs = Array.from(
      { length: 12 },
      (_, i): ReviewRun => ({
        ...(season({ ratio: 1 }, 8)[0] as ReviewRun),
        id: String(i),
        block: String(i >> 1),
        material: i % 2 === 0 ? BIRCH : POPLAR,
        speed_mm_s: 20,
        through: i % 2 === 1,
      }),
    );
    const look = compared(runs).looks.find(({ what }) => what === "By block and speed");
    expect(look?.p).toBeCloseTo(2 / 2 ** 6, 10);
    expect(look?.sentence).toContain("Poplar ply goes through more often, every time they differed");
  });

  it("compares what it took to press the pieces out, and their grades", () => {
    const runs = season({ ratio: 1 }, 9, 40).map((run, i) => ({
      ...run,
      strength: (run.material === BIRCH ? 20 : 40) + (i % 7),
      grade: run.material === BIRCH ? 3 : i % 5 === 0 ? 1 : 0,
    }));
    const { looks } = compared(runs);
    const [strength, grades] = ["Strength", "Grades of cut-through"].map((what) =>
      looks.find((look) => look.what === what),
    );
    expect(strength?.estimate).toBeGreaterThan(1.6);
    expect(strength?.sentence).toMatch(
      /^Strength: Poplar ply has 1\.\d+ times that of Birch ply \(limits .* 20 and 20 pieces\)\.$/,
    );
    expect(grades?.sentence).toMatch(
      /^Grades: of two pieces at one speed Poplar ply has the better one \d+ times in 100/,
    );
  });

  it("takes blocks and conditions into account for strength, and says when two are as strong as each other", () => {
    // A block's glue, say, adds to both of its pieces; without the blocks the spread hides a tenth.
    const blocked = (ratio: number) =>
      season({ ratio: 1 }, 10, 48).map((run, i) => ({
        ...run,
        block: String(i >> 1),
        strength: (20 + 5 * ((i >> 1) % 9)) * (run.material === POPLAR ? ratio : 1) * (1 + 0.004 * (i % 5)),
      }));
    const strength = (ratio: number) =>
      compared(blocked(ratio)).looks.find(({ what }) => what === "Strength");
    expect(strength(1.1)?.sentence).toMatch(
      /^Strength: Poplar ply has 1\.\d+ times that of Birch ply, with the blocks.* taken into account/,
    );
    expect(strength(1.1)?.p).toBeLessThan(0.001);
    expect(strength(1.1)?.lower).toBeLessThan(1.1);
    expect(strength(1.1)?.upper).toBeGreaterThan(1.1);
    const alike = season({ ratio: 1 }, 11, 48).map((run, i) => ({ ...run, strength: 30 + 0.2 * (i % 3) }));
    expect(compared(alike).looks.find(({ what }) => what === "Strength")?.sentence).toMatch(
      /as strong as each other within 10 %/,
    );
  });
});
