import { describe, expect, it } from "vitest";
import { decide } from "../../../station/trials/decision/decide.js";
import { type Cut, cutPlan, type Made } from "./decision-bench.js";

describe("which specimens a plan's conclusions count", () => {
  it("counts of one that was cut again only the last, and says so", () => {
    const view = decide(
      cutPlan(({ lot, block, speed }) => ({
        first: { back_fuzz: lot },
        // The first two tries were bad, and both are left out: of one that is spoilt nothing counts anyway.
        ...(block === 1 && speed === 10 && lot === 1
          ? {
              first: { back_fuzz: 3 },
              again: { state: "spoilt", first: { back_fuzz: 3 }, again: { first: { back_fuzz: 1 } } },
            }
          : {}),
      })),
      {},
      [],
    );
    const fuzz = view.properties.find(({ id }) => id === "back_fuzz");
    expect(fuzz?.lots.map(({ counts }) => counts)).toEqual([
      [12, 0, 0, 0],
      [0, 12, 0, 0],
    ]);
    expect(fuzz?.differences[0]).toMatchObject({ estimate: 1, pairs: 12 });
    expect(view.conditions.sentences).toContain(
      "Left out, for another was cut in its place: 0 of L1 Quayside, 1 of L2 Harbour.",
    );
  });

  it("leaves out what was cut with another power or spacer, and says so", () => {
    const view = decide(
      cutPlan(({ lot, block, speed }) => ({
        first: { back_fuzz: lot },
        ...(block === 1 && lot === 0 && speed !== 14
          ? { otherwise: speed === 10 ? { power_pct: 80 } : { focus_spacer_mm: 6 } }
          : {}),
      })),
      {},
      [],
    );
    const fuzz = view.properties.find(({ id }) => id === "back_fuzz");
    expect(fuzz?.lots.map(({ n }) => n)).toEqual([10, 12]);
    expect(fuzz?.differences[0]?.pairs).toBe(10);
    expect(view.conditions.sentences).toContain(
      "Left out, for it was cut with something other than planned that the plan keeps alike: 2 of L1 Quayside, 0 of L2 Harbour.",
    );
  });

  it("compares at the speed that a piece was cut with, and not at the one that was planned", () => {
    const view = decide(
      cutPlan(({ lot, block, speed }) => ({
        first: { back_fuzz: lot },
        // The ladder's first rung was cut at 14 by mistake.
        ...(block === 1 && lot === 0 && speed === 10
          ? { first: { back_fuzz: 3 }, otherwise: { speed_mm_s: 14 } }
          : {}),
      })),
      {},
      [],
    );
    const fuzz = view.properties.find(({ id }) => id === "back_fuzz");
    // Two of L1 at 14 mm/s and one of L2: one pair, in the order of cutting; none at 10.
    expect(fuzz?.differences[0]?.pairs).toBe(11);
    expect(view.conditions.sentences).toContain(
      "1 specimen was cut at another setting than planned, and counts at that one: see the plan's page.",
    );
  });

  it("does not take the simulated bench for a fault of the run", () => {
    const view = decide(
      cutPlan(({ lot }) => ({ first: { back_fuzz: lot }, flagged: true, flag: "simulated" })),
      {},
      [],
    );
    expect(view.conditions.lots.map(({ flagged }) => flagged)).toEqual([0, 0]);
  });

  it("counts as comparisons only those that could have looked apart", () => {
    const five = ({ lot, block, speed }: Cut): Made => ({
      first: { back_fuzz: lot, ...(block === 1 && speed !== 14 ? { residue: lot } : {}) },
    });
    const chance = (make: (cut: Cut) => Made) =>
      decide(cutPlan(make), {}, []).notKnown.find((each) =>
        each.startsWith("Whether a difference is chance"),
      );
    // Residue was looked at in two pairs, which tell nothing; no threshold has limits.
    expect(chance(five)).toBeUndefined();
    expect(chance((cut) => ({ first: { back_fuzz: cut.lot, residue: cut.lot } }))).toMatch(
      / Here are 2: that one of them or more does is at most 10 times in 100\.$/,
    );
  });

  it("goes by the speed that was cut with", () => {
    const slip = ({ block, speed }: Cut): Made => ({
      first: { through: 0 },
      ...(block === 1 && speed === 14 ? { otherwise: { speed_mm_s: 16 } } : {}),
    });
    const view = decide(cutPlan(slip), { margin_pct: 0 }, []);
    expect(view.settings.map(({ foundMmS }) => foundMmS)).toEqual([16, 16]);
  });
});
