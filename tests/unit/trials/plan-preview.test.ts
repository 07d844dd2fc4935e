import { expect, it } from "vitest";
import { previewPlan } from "../../../station/trials/plans/plan-preview.js";
import { LOTS, ladder } from "./plan-bench.js";

const rungs = [10, 12, 14];

it("says of three pairs that they can never show a difference", () => {
  const facts = ladder({
    layout: { method: "ladder", vary: "power", rungs: [50], replicates: 3 },
    speed_mm_s: 12,
  });
  const { cuts, sentences } = previewPlan(facts);
  expect(cuts).toBe(6);
  expect(sentences[0]).toMatch(/3 pairs of pieces are too few .*p is never below 0\.25/);
});

it("names the smallest difference of a ladder of speeds, and none of one lot", () => {
  const two = previewPlan(ladder({ layout: { method: "ladder", vary: "speed", rungs, replicates: 4 } }));
  expect(two.cuts).toBe(24);
  expect(two.sentences.join(" ")).toMatch(
    /if one lot can be cut \d+ % faster than the other, that is found 8 times in 10/,
  );
  const one = previewPlan(
    ladder({ lots: [LOTS[0]], layout: { method: "ladder", vary: "speed", rungs, replicates: 1 } }),
  );
  expect(one.sentences).toEqual([
    expect.stringMatching(/^One lot: no lots are compared/),
    "3 cuts say little: make six or more.",
  ]);
});

it("states the stop of a search, and how many cuts it may take", () => {
  const layout = {
    method: "search",
    slowest_mm_s: 5,
    fastest_mm_s: 30,
    step_mm_s: 0.5,
    within_pct: 3,
    most_cuts: 20,
    through_up_to: 1,
  } as const;
  const { cuts, sentences } = previewPlan(ladder({ layout }));
  expect(cuts).toBe(40);
  expect(sentences[0]).toMatch(/to 3 % either way, which holds 9 times in 10, or until it was cut 20 times/);
});
