import { expect, it } from "vitest";
import { detailOf, headOf } from "../../../ui/src/history/mark-words.js";

const HOUR = 3_600_000;

it.each([
  [62 * 60_000, "Clock set forward by 1 h 2 min"],
  [-700, "Clock set back by less than 1 s"],
  [-5000, "Clock set back by 5 s"],
  [4 * 60_000 + 59_000, "Clock set forward by 4 min"],
  [-3 * HOUR, "Clock set back by 3 h"],
  [76 * HOUR, "Clock set forward by 3 d 4 h"],
  [56.9 * 365.25 * 24 * HOUR, "Clock set forward by 56 years"],
])("a clock that was set by %d ms: %s", (shiftMs, words) => {
  const mark = { id: 1, wall: 0, shiftMs, placed: true };
  const head = headOf({ kind: "clock", key: "clock-1", wall: 0, mark });
  expect(head.replaceAll("\u00a0", " ")).toBe(words);
});

it("says whether the times before were placed", () => {
  const of = (placed: boolean) =>
    detailOf({ kind: "clock", key: "", wall: 0, mark: { id: 1, wall: 0, shiftMs: 5000, placed } });
  expect(of(true)).toMatch(/have been put right/);
  expect(of(false)).toMatch(/stays at the times the clock said/);
});
