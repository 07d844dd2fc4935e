import { describe, expect, it } from "vitest";
import { type CheckListFacts, isDue, type Moment } from "../../../station/cautions/checklist-due.js";

const HOUR = 3_600_000;
const MORNING = Date.UTC(2026, 4, 4, 7, 30);
const at = (wall: number, mono = wall - MORNING, bootId = "boot"): Moment => ({ wall, mono, bootId });
const FACTS: CheckListFacts = {
  now: at(MORNING + 2 * HOUR),
  clock: "synchronised",
  dayOf: (wall) => new Date(wall).toISOString().slice(0, 10),
  done: { "before-first-cut": null, "after-last-cut": null },
  runOpen: false,
  lastEndMono: null,
};
const due = (id: "before-first-cut" | "after-last-cut", changes: Partial<CheckListFacts>) =>
  isDue(id, { ...FACTS, ...changes });
const first = (done: Moment | null) => ({ done: { ...FACTS.done, "before-first-cut": done } });
const last = (done: Moment | null) => ({ done: { ...FACTS.done, "after-last-cut": done } });

describe("before the first cut of the day", () => {
  it.each([
    ["never gone through", first(null), true],
    ["gone through this morning", first(at(MORNING)), false],
    ["gone through yesterday evening", first(at(MORNING - 12 * HOUR)), true],
    ["gone through this morning, and the station started anew since", first(at(MORNING, 5, "before")), false],
    ["gone through at a time to come, by a clock that was wrong", first(at(MORNING + 30 * HOUR)), true],
  ])("%s: due %s", (_, changes, expected) => {
    expect(due("before-first-cut", changes)).toBe(expected);
  });

  it("goes by twelve hours of this boot where no clock tells the day", () => {
    const clock = "not synchronised";
    expect(due("before-first-cut", { clock, ...first(at(MORNING)) })).toBe(false);
    expect(due("before-first-cut", { clock, ...first(at(MORNING)), now: at(MORNING + 13 * HOUR) })).toBe(
      true,
    );
    expect(due("before-first-cut", { clock, ...first(at(MORNING, 0, "before")) })).toBe(true);
  });
});

describe("after the last cut of the day", () => {
  const ended = { lastEndMono: HOUR };
  it.each([
    ["nothing was cut", {}, false],
    ["half an hour after a cut", { ...ended, now: at(MORNING + 1.5 * HOUR) }, true],
    ["less than that", { ...ended, now: at(MORNING + 1.5 * HOUR - 1) }, false],
    ["while something is cut", { ...ended, runOpen: true }, false],
    ["gone through since the cut", { ...ended, ...last(at(MORNING + HOUR + 1)) }, false],
    ["gone through before the cut", { ...ended, ...last(at(MORNING + HOUR - 1)) }, true],
    [
      "gone through before the station started anew",
      { ...ended, ...last(at(MORNING, 9 * HOUR, "before")) },
      true,
    ],
  ])("%s: due %s", (_, changes, expected) => {
    expect(due("after-last-cut", changes)).toBe(expected);
  });
});
