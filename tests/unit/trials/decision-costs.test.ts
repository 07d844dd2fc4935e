import { describe, expect, it } from "vitest";
import type { WorkshopFacts } from "../../../station/model/workshop.js";
import { decide } from "../../../station/trials/decision/decide.js";
import { sheetLines } from "../../../station/trials/decision/sheet-lines.js";
import { type Cut, cutPlan } from "./decision-bench.js";

const WORKSHOP: WorkshopFacts = {
  ...{ currency: "€", part_length_mm: 100, part_width_mm: 50, gap_mm: 0, edge_mm: 0, order_sheets: 10 },
  ...{ cut_length_mm: 1200, laser_per_min: 0.5, finishing_per_min: 0.4, margin_pct: 0 },
};
const SHEET = { sheet_length_mm: 600, sheet_width_mm: 400, sheet_price: 9.6, delivery: 9.6 };

describe("what a good part costs", () => {
  const made = (finishing: (cut: Cut) => number) =>
    cutPlan((cut) => ({ first: { through: 0, finishing_min: finishing(cut) } }), { lots: SHEET });

  it("adds up as by hand, with a low and a high", () => {
    const { costs, sentences } = decide(
      made(({ lot, block }) => 2 + 10 * lot + (block % 2)),
      WORKSHOP,
      [],
    );
    // 48 parts from a sheet; (9.60 + 0.96) / 48 + 0.5 · 1200/14/60 + 0.4 · 2.5.
    expect(costs[0]).toMatchObject({ partsFromSheet: 48, offcut: 0, finishing: 1 });
    expect(costs[0]?.goodPart.estimate).toBeCloseTo(0.22 + 0.5 * (1200 / 14 / 60) + 1, 9);
    // Of 12 specimens none was bad: Wilson's upper limit is 0.2425.
    expect(costs[0]?.badShare?.upper).toBeCloseTo(0.2425, 4);
    expect(costs[0]?.goodPart.upper).toBeGreaterThan(2.2);
    expect(sentences.at(-1)).toBe("A good part of L1 Quayside costs less than one of L2 Harbour.");
  });

  it("cannot tell where the ranges meet, and names what is missing", () => {
    const alike = decide(
      made(({ block }) => 2 + (block % 2)),
      WORKSHOP,
      [],
    );
    expect(alike.sentences.at(-1)).toBe(
      "Cannot tell whether a good part costs less of L1 Quayside or of L2 Harbour.",
    );
    const { laser_per_min: _laser, ...without } = WORKSHOP;
    const view = decide(
      made(() => 2),
      without,
      [],
    );
    expect(view.notKnown).toContain(
      "Cost of a good part of L1 Quayside: not known. Missing: what a minute of laser costs.",
    );
  });
});

describe("a settings sheet", () => {
  it("counts the latest for each thing, and keeps what it was", () => {
    const line = (id: number, what: string, speed_mm_s: number) => ({
      ...{ id, entry: `e${id}`, kind: "sheet" as const, subject: "lot", property: what, enteredWall: null },
      ...{ by: null, wall: id },
      body: {
        ...{ what, speed_mm_s, power_pct: 60, passes: 1, focus_spacer_mm: null, margin_pct: 10 },
        ...{ conditions: "", plan: "p" },
      },
    });
    const lines = sheetLines(
      [line(3, "cut through", 11), line(2, "Engraving", 200), line(1, "Cut through ", 12)],
      new Map([["p", 4]]),
    );
    expect(lines.map(({ body, planMark }) => [body.what, body.speed_mm_s, planMark])).toEqual([
      ["cut through", 11, "P4"],
      ["Engraving", 200, "P4"],
    ]);
    expect(lines[0]?.before.map(({ body }) => body.speed_mm_s)).toEqual([12]);
  });
});
