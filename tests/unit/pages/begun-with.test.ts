import { describe, expect, it } from "vitest";
import { addressOf, begunWith } from "../../../ui/src/trials/make/begun-with.js";

const experiment = {
  title: "Which of them matters: coolant & room?",
  speed_mm_s: 19.5,
  power_pct: 60,
  passes: null,
  pieces: 8,
  note: "Coolant low in blocks 1, 4 and 5.",
};

describe("a plan that begins with an experiment", () => {
  it("has in its form what the address carries, and usual figures for the rest", () => {
    const address = new URL(addressOf(experiment), "http://station");
    const draft = begunWith(Object.fromEntries(address.searchParams), 7);
    expect(address.pathname).toBe("/plans/new");
    expect(draft.typed).toMatchObject({
      title: experiment.title,
      replicates: "8",
      power_pct: "60",
      passes: "1",
      note: experiment.note,
    });
    expect(draft.rungs.taken).toEqual([19.5]);
    expect(draft.seed).toBe(7);
  });

  it("takes no speed from an address that has none, and is as empty as any without", () => {
    expect(begunWith({ speed_mm_s: "fast" }, 1).rungs.taken).toEqual([]);
    expect(begunWith({}, 1)).toMatchObject({ rungs: { taken: [] }, typed: { title: "", replicates: "3" } });
  });
});
