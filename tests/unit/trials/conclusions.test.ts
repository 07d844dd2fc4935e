import { describe, expect, it } from "vitest";
import { decide } from "../../../station/trials/decision/decide.js";
import { type Cut, cutPlan, type Made } from "./decision-bench.js";
import { LOTS } from "./plan-bench.js";

const THREE = [...LOTS, "00000000-0000-4000-8000-000000000003"];
const of = (make: (cut: Cut) => Made, blocks = 4) => decide(cutPlan(make, { of: THREE, blocks }), {}, []);

describe("what is concluded of three lots", () => {
  it("goes by their marks, names those that are apart one by one, and the others together", () => {
    const { sentences, properties, ratios, lots, settings } = of(({ lot, block }) => ({
      first: { back_fuzz: lot === 2 ? 3 : (lot + block) % 2, through: 0 },
    }));
    expect(sentences.filter((each) => each.startsWith("Fuzz"))).toEqual([
      expect.stringMatching(/^Fuzz on the back: L1 is better than L3 by /),
      expect.stringMatching(/^Fuzz on the back: L2 is better than L3 by /),
      expect.stringMatching(/^Fuzz on the back: cannot tell L1 and L2 apart; /),
    ]);
    expect(sentences[0]).toBe(
      "Fastest speed that cuts through: cannot tell apart L1 and L2, L1 and L3, L2 and L3.",
    );
    // The numbers are not lost: they stand with the speeds.
    expect(ratios.map(({ sentence }) => sentence).join(" ")).toMatch(
      /L3 was through every time, up to 14 mm\/s/,
    );
    expect(properties[0]?.lots.map(({ name }) => name)).toEqual(["L1", "L2", "L3"]);
    expect(lots.map(({ name }) => name)).toEqual(["L1 Quayside", "L2 Harbour", "L3 Lagoon"]);
    expect(settings.map(({ name }) => name)).toEqual(["L1 Quayside", "L2 Harbour", "L3 Lagoon"]);
    expect(sentences.join(" ")).not.toMatch(/Quayside|Harbour|Lagoon/);
  });

  it("says once of what there are too few pairs, and of what there are none", () => {
    const { sentences } = of(
      ({ lot, block }) => ({
        first: {
          back_fuzz: lot,
          ...(lot < 2 ? { residue: lot } : {}),
          ...(lot === block ? { cleaning: 1 } : {}),
        },
      }),
      1,
    );
    const few = sentences.filter((each) => each.startsWith("Too few pairs"));
    expect(few).toEqual([
      "Too few pairs to tell the lots apart (6 are the fewest that can): Fuzz on the back (3 pairs); Residue and ghosting, L1 and L2 (3 pairs).",
    ]);
    expect(sentences.filter((each) => each.startsWith("No two"))).toEqual([
      expect.stringMatching(
        /^No two were looked at in the same block at the same setting: .*L1 and L3, L2 and L3; /,
      ),
    ]);
    expect(sentences.at(-1)).toBe(
      "Cannot tell whether a good part costs less of L1 or of L2, of L1 or of L3, of L2 or of L3.",
    );
  });

  it("says how often chance looks like a difference, whatever hangs together", () => {
    const graded = ({ lot, block }: Cut) => ({ first: { back_fuzz: (lot + block) % 3, residue: lot } });
    expect(of(graded).notKnown).toContain(
      "Whether a difference is chance: of lots that are all alike, 1 comparison in 20 still looks like a difference. Here are 6: that one of them or more does is at most 30 times in 100.",
    );
  });
});
