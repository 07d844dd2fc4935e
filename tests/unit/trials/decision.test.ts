import { describe, expect, it } from "vitest";
import { decide } from "../../../station/trials/decision/decide.js";
import { withMargin } from "../../../station/trials/decision/settings.js";
import { type Cut, cutPlan, type Made } from "./decision-bench.js";

const sentences = (make: (cut: Cut) => Made, blocks = 4) =>
  decide(cutPlan(make, { blocks }), {}, []).sentences;
const fuzz = (value: (cut: Cut) => number) => (cut: Cut) => ({ first: { back_fuzz: value(cut) } });
const fuzzOf = (all: readonly string[]) => all.find((each) => each.startsWith("Fuzz on the back"));

describe("what a plan concludes of cuts that nobody made", () => {
  const simulated = (which: (cut: Cut) => boolean) => (cut: Cut) => ({
    ...fuzz(({ lot }) => lot)(cut),
    ...(which(cut) ? { flagged: true, flag: "simulated" } : {}),
  });

  it("begins with their being simulated, all of them or some, and says nothing of it where none is", () => {
    expect(sentences(simulated(() => true))[0]).toBe(
      "Simulated: no sheet was cut, and what follows says nothing of real ones.",
    );
    expect(sentences(simulated(({ block }) => block === 1))[0]).toBe(
      "Simulated: 6 of 24 specimens cut; what follows takes them for real ones.",
    );
    expect(sentences(simulated(() => false)).join()).not.toMatch(/simulated/i);
  });
});

describe("what a plan concludes of a property", () => {
  it("says which lot is better only where the limits leave no difference out", () => {
    expect(fuzzOf(sentences(fuzz(({ lot }) => (lot === 0 ? 1 : 2))))).toBe(
      "Fuzz on the back: L1 Quayside is better than L2 Harbour by 1 grade (both limits 1 grade, 12 pairs).",
    );
    const even = fuzz(({ lot, block }) => (block % 2 === lot ? 1 : 2));
    expect(fuzzOf(sentences(even))).toBe(
      "Fuzz on the back: cannot tell L1 Quayside and L2 Harbour apart; in the middle they are alike (L2 Harbour less L1 Quayside: limits −1 to 1 grade, 12 pairs).",
    );
  });

  it("says that five pairs are too few, whatever they show, and that none are none", () => {
    const five = ({ lot, block, speed }: Cut): Made =>
      block === 2 && speed === 14 ? {} : { first: { back_fuzz: lot * 3 } };
    expect(fuzzOf(sentences(five, 2))).toBe(
      "Fuzz on the back: cannot tell L1 Quayside and L2 Harbour apart from 5 pairs; 6 are the fewest that can.",
    );
    const apart = ({ lot, block }: Cut): Made => (block % 2 === lot ? { first: { back_fuzz: lot } } : {});
    expect(fuzzOf(sentences(apart))).toContain("no two were looked at in the same block");
  });

  it("knows of what more is better, and of what neither", () => {
    const light = sentences(({ lot, block }) => ({
      first: { edge_L: 40 + 5 * lot + block, face_L: 70 - lot },
    }));
    expect(light).toContain(
      "Lightness of the edge, L*: L2 Harbour has more than L1 Quayside, which is better, by 5 L* (both limits 5 L*, 12 pairs).",
    );
    expect(light).toContain(
      "Lightness of the plain face, L*: L2 Harbour has less than L1 Quayside by 1 L* (both limits 1 L*, 12 pairs).",
    );
    const minutes = sentences(({ lot }) => ({ first: { finishing_min: 4 - lot } }));
    expect(minutes).toContain(
      "Minutes of finishing: L2 Harbour has less than L1 Quayside, which is better, by 1 min (both limits 1 min, 12 pairs).",
    );
  });

  it("keeps flagged runs, and says so where without them it would be otherwise", () => {
    // Two whole blocks were cut too warm, and only there do the lots differ the other way.
    const warm = ({ lot, block }: Cut): Made => ({
      first: { back_fuzz: block <= 2 ? 2 - lot : 1 + lot },
      flagged: block <= 2,
    });
    expect(fuzzOf(sentences(warm))).toMatch(
      /cannot tell L1 Quayside and L2 Harbour apart; .* Without the flagged runs: .*L1 Quayside is better than L2 Harbour by 1 grade/,
    );
    const few = ({ lot, block }: Cut): Made => ({ first: { back_fuzz: lot }, flagged: block !== 1 });
    expect(fuzzOf(sentences(few))).toMatch(/Without the flagged runs 3 pairs are left, too few to tell\.$/);
    const all = ({ lot }: Cut): Made => ({ first: { back_fuzz: lot }, flagged: lot === 0 });
    expect(fuzzOf(sentences(all))).toMatch(/In every pair there is a run that was flagged\.$/);
    const steady = ({ lot, block }: Cut): Made => ({ first: { back_fuzz: lot }, flagged: block === 1 });
    expect(fuzzOf(sentences(steady))).not.toContain("Without the flagged runs");
  });

  it("leaves spoilt specimens out", () => {
    const view = decide(
      cutPlan(({ lot, block, speed }) => ({
        first: { back_fuzz: lot },
        state: block === 1 && speed === 10 && lot === 0 ? "spoilt" : "cut",
      })),
      {},
      [],
    );
    expect(view.properties.find(({ id }) => id === "back_fuzz")?.lots.map(({ n }) => n)).toEqual([11, 12]);
    expect(view.conditions.sentences).toContain("Left out as spoilt: 1 of L1 Quayside, 0 of L2 Harbour.");
  });

  it("works strength and stiffness out, and says in what the pieces are none of the standard", () => {
    const bent = { bend_span_mm: 100, bend_width_mm: 20, bend_thickness_mm: 3, bend_break_N: 120 };
    const load = { bend_low_N: 10, bend_low_mm: 1, bend_high_N: 40, bend_high_mm: 3 };
    const view = decide(
      cutPlan(() => ({ first: { ...bent, ...load } })),
      {},
      [],
    );
    const strength = view.properties.find(({ id }) => id === "bending_strength");
    // 3 F l / (2 b t²) = 3·120·100 / (2·20·9); l³ΔF / (4 b t³ Δa) = 10⁶·30 / (4·20·27·2).
    expect(strength?.lots[0]?.mean).toBeCloseTo(100, 9);
    expect(view.properties.find(({ id }) => id === "bending_modulus")?.lots[0]?.mean).toBeCloseTo(6944.4, 1);
    expect(strength?.remarks[0]).toContain("it is 20 mm wide, in EN 310 50 mm");
    expect(view.properties.some(({ id }) => id.startsWith("bend_"))).toBe(false);
  });
});

/** Through up to a speed of its own, with a few cuts out of order, so that there is a curve. */
const through = ({ lot, block, speed }: Cut): Made => {
  const slow = lot === 0 ? 12 : 14;
  return { first: { through: speed < slow || (speed === slow && block % 2 === 0) ? 0 : 3 } };
};

describe("what a plan concludes of the speed", () => {
  it("compares the thresholds with limits of their ratio", () => {
    const [sentence] = sentences(through, 8);
    expect(sentence).toMatch(
      /^Fastest speed that cuts through: L2 Harbour cuts faster than L1 Quayside, 14 against 12 mm\/s, 1\.17 times \(limits 1\.\d+ to 1\.\d+ times\)\.$/,
    );
    expect(sentences((cut) => through({ ...cut, lot: 0 }), 8)[0]).toContain("cannot tell L1 Quayside and L2");
  });

  const ending = (lot: 0 | 1, every: 0 | 3, slow: number) => (cut: Cut) =>
    cut.lot === lot ? { first: { through: every } } : { first: { through: cut.speed < slow ? 0 : 3 } };

  it("says which lot is the faster where one was through every time, or never, and no more than is known", () => {
    const [faster] = sentences(ending(1, 0, 12));
    expect(faster).toMatch(
      /^Fastest speed that cuts through: L2 Harbour cuts faster than L1 Quayside, at least 1\.\d+ times as fast; L2 Harbour was through every time, up to 14 mm\/s\.$/,
    );
    const { ratios, thresholds } = decide(cutPlan(ending(1, 0, 12)), {}, []);
    expect(ratios[0]).toMatchObject({ estimate: null, upper: null, verdict: "apart" });
    // No speed counts that was not tried: 14 mm/s over the upper limit of the other.
    expect(ratios[0]?.lower).toBeCloseTo(14 / (thresholds[0]?.half.upper ?? 0), 12);
    expect(sentences(ending(0, 0, 12))[0]).toMatch(/: L1 Quayside cuts faster than L2 Harbour, at least 1\./);
    expect(sentences(ending(0, 3, 14))[0]).toMatch(
      /: L2 Harbour cuts faster than L1 Quayside, at least 1\.\d+ times as fast; L1 Quayside was never through, down to 10 mm\/s\.$/,
    );
  });

  it("cannot tell a lot that was always through from one that was through almost to the end", () => {
    const almost = (cut: Cut) => ({
      first: { through: cut.lot === 1 || cut.speed < 14 || cut.block > 2 ? 0 : 3 },
    });
    expect(sentences(almost)[0]).toBe(
      "Fastest speed that cuts through: cannot tell L1 Quayside and L2 Harbour apart, for L2 Harbour was through every time, up to 14 mm/s.",
    );
    // Three cuts, all through, set no limit.
    expect(sentences(ending(1, 0, 12), 1)[0]).toContain("cannot tell L1 Quayside and L2 Harbour apart");
    const wrong = (cut: Cut) => ({ first: { through: cut.lot === 1 || cut.speed > 12 ? 0 : 3 } });
    expect(sentences(wrong)[0]).toContain("no threshold was found for L1 Quayside and L2 Harbour");
  });

  it("cannot tell where all was through, and proposes the fastest that was tried, less the margin", () => {
    const view = decide(
      cutPlan(() => ({ first: { through: 0 } })),
      { margin_pct: 15 },
      [3.2],
    );
    expect(view.sentences[0]).toBe(
      "Fastest speed that cuts through: cannot tell L1 Quayside and L2 Harbour apart, for L1 Quayside was through every time, up to 14 mm/s, and L2 Harbour was through every time, up to 14 mm/s.",
    );
    expect(view.settings[0]).toMatchObject({ foundMmS: 14, marginPct: 15, speedMmS: 11.9, focusSpacerMm: 7 });
    // Four of four: 0.05 to the power of a quarter.
    expect(view.settings[0]?.how).toBe(
      "the fastest that was tried, 14 mm/s: every cut was through, 4 of them at it: enough to expect at least 47 in 100 to be (95 % sure)",
    );
    expect(view.settings[0]?.conditions).toBe("coolant 18 °C, optics cleaned 3.2 h of beam ago or less");
    expect(
      decide(
        cutPlan(() => ({ first: { through: 3 } })),
        {},
        [],
      ).settings,
    ).toEqual([]);
  });

  it("never rounds a speed into its margin", () => {
    expect([withMargin(14, 15), withMargin(12.37, 10), withMargin(20, 0)]).toEqual([11.9, 11.1, 20]);
  });
});

describe("under which conditions it was cut", () => {
  it("gives one figure with its unit where all were alike", () => {
    expect(
      decide(
        cutPlan(() => ({ coolant: 18.5 })),
        {},
        [3, 3],
      ).conditions.sentences,
    ).toEqual([
      "Coolant 18.5 °C, of the means of the runs.",
      "Mirrors and lens had 3 hours of beam since they were cleaned.",
    ]);
  });

  it("says on which lot the flags fall, and whose coolant was warmer", () => {
    const view = decide(
      cutPlan(({ lot, block }) => ({ flagged: lot === 1 && block === 1, coolant: 18 + lot })),
      {},
      [1, 4.5],
    );
    expect(view.conditions).toMatchObject({
      coolant: { least: 18, most: 19 },
      opticsHours: { least: 1, most: 4.5 },
    });
    expect(view.conditions.sentences).toEqual([
      "Coolant 18 to 19 °C, of the means of the runs.",
      "L2 Harbour was cut with coolant 1 °C warmer in the mean than L1 Quayside: a difference between them may be the coolant's.",
      "3 specimens were cut in a run that was flagged (0 of 12 of L1 Quayside, 3 of 12 of L2 Harbour), and kept. They fall on L2 Harbour more than on L1 Quayside.",
      "Mirrors and lens had 1 to 4.5 hours of beam since they were cleaned.",
    ]);
  });
});

describe("what is not known", () => {
  it("names what has a grade from before it was cut: a code may have been mixed up", () => {
    const view = (early: (cut: Cut) => boolean) =>
      decide(
        cutPlan((cut) => ({ first: { through: 0, back_fuzz: 1 }, ...(early(cut) ? { gradedWall: 1 } : {}) })),
        {},
        [],
      ).notKnown.filter((each) => each.includes("before they were cut"));
    expect(view(({ lot, block, speed }) => lot === 0 && block === 1 && speed === 10)).toEqual([
      "Whether the right pieces were graded: these have a grade from before they were cut, by the clocks: C1.",
    ]);
    expect(view(() => false)).toEqual([]);
  });

  it("names what was cut and not graded yet, and what was graded in part", () => {
    const view = decide(
      cutPlan(({ lot, block, speed }) => {
        if (block === 1 && speed === 10) return lot === 0 ? {} : { first: { through: 0 } };
        return { first: { through: 0, back_fuzz: 1 } };
      }),
      {},
      [],
    );
    expect(view.notKnown).toContain("Cut and not graded yet: C1.");
    expect(view.notKnown).toContain("Graded in part: C2.");
    const none = decide(
      cutPlan(() => ({})),
      {},
      [],
    ).notKnown;
    expect(none).toContain("Cut and not graded yet: C1, C2, C3, C4, C5, C6, C7, C8 and 16 more.");
  });
});

describe("how far the grader agrees with themselves", () => {
  it("gives kappa with its n, and none of four", () => {
    const graded = (blocks: number) =>
      decide(
        cutPlan(({ lot, block, speed }) => {
          const first = { back_fuzz: speed === 10 ? 0 : 2 };
          return lot === 0 && block <= blocks && speed !== 14 ? { first, second: first } : { first };
        }),
        {},
        [],
      ).agreement;
    expect(graded(3)).toMatchObject([{ kappa: 1, n: 6 }]);
    expect(graded(2)[0]?.sentence).toBe(
      "Fuzz on the back: 4 of 4 specimens got the same grade both times; too few to tell how far the grader agrees with themselves.",
    );
    expect(graded(0)).toEqual([]);
  });
});
