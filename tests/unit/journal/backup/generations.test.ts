import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { generationsOf } from "../../../../station/journal/backup/generations.js";

const DAY = 86_400_000;
const KEEP = { daily: 7, weekly: 5, monthly: 12 };
const START = Date.UTC(2024, 0, 1, 3, 30);

/** One backup a day on each of these days, the rule applied after each, as the station does it. */
function overDays(days: readonly number[], keep = KEEP): string[] {
  let walls: number[] = [];
  for (const day of days) {
    walls = [...walls, START + day * DAY];
    const kept = generationsOf(walls, keep);
    walls = walls.filter((wall) => kept.has(wall));
  }
  return walls.map((wall) => new Date(wall).toISOString().slice(0, 10));
}

const everyDay = (count: number) => Array.from({ length: count }, (_, i) => i);

describe("which backups are kept", () => {
  it("after three years of one a day: seven days, five weeks and twelve months, some of which are the same", () => {
    // Reckoned by hand from a calendar: 2026-12-31 is a Thursday, weeks end on Sundays.
    expect(overDays(everyDay(1096))).toEqual([
      "2026-01-31",
      "2026-02-28",
      "2026-03-31",
      "2026-04-30",
      "2026-05-31",
      "2026-06-30",
      "2026-07-31",
      "2026-08-31",
      "2026-09-30",
      "2026-10-31",
      "2026-11-30",
      "2026-12-06",
      "2026-12-13",
      "2026-12-20",
      "2026-12-25",
      "2026-12-26",
      "2026-12-27",
      "2026-12-28",
      "2026-12-29",
      "2026-12-30",
      "2026-12-31",
    ]);
  });

  it("in the first week is every one, and after a leap February its last day stays", () => {
    expect(overDays(everyDay(7))).toHaveLength(7);
    expect(overDays(everyDay(120))).toContain("2024-02-29");
  });

  it("after a year with the station off, those from before are still there", () => {
    const kept = overDays([...everyDay(400), 900]);
    // By hand: the ends of ten months, Sundays of two weeks before the newest three, and six days before the last one.
    const months = [4, 5, 6, 7, 8, 9, 10, 11, 12].map((month) =>
      new Date(Date.UTC(2024, month, 0)).toISOString().slice(0, 10),
    );
    const weeks = ["2025-01-19", "2025-01-26"];
    const days = ["2025-01-29", "2025-01-30", "2025-01-31", "2025-02-01", "2025-02-02", "2025-02-03"];
    expect(kept).toEqual([...months, ...weeks, ...days, "2026-06-19"]);
  });

  it("of several on one day is the newest", () => {
    const hours = [1, 5, 23].map((hour) => START + hour * 3_600_000 - 3.5 * 3_600_000);
    expect([...generationsOf(hours, KEEP).keys()]).toEqual([hours[2]]);
  });

  it("is said with what it is kept as", () => {
    const day = (month: number, date: number) => Date.UTC(2026, month, date, 3);
    // A Monday, the Sunday before, that week's Monday, and the last of the month before.
    const walls = [day(5, 8), day(5, 7), day(5, 1), day(4, 31)];
    expect([...generationsOf(walls, { daily: 2, weekly: 2, monthly: 2 })]).toEqual([
      [day(5, 8), ["day", "week", "month"]],
      [day(5, 7), ["day", "week"]],
      [day(4, 31), ["month"]],
    ]);
    expect([...generationsOf([day(5, 8)], { daily: 0, weekly: 0, monthly: 0 })]).toEqual([[day(5, 8), []]]);
  });

  const anyKeep = fc.record({
    daily: fc.integer({ min: 1, max: 10 }),
    weekly: fc.integer({ min: 0, max: 8 }),
    monthly: fc.integer({ min: 0, max: 14 }),
  });
  const anyDays = fc.uniqueArray(fc.integer({ min: 0, max: 1500 }), { maxLength: 300 });

  it("does not depend on how often the rule was applied, and is never more than asked for nor without the newest", () => {
    fc.assert(
      fc.property(anyDays, anyKeep, (any, keep) => {
        const days = [...any].sort((a, b) => a - b);
        const walls = days.map((day) => START + day * DAY);
        const once = generationsOf(walls, keep);
        const stepwise = overDays(days, keep);
        expect(stepwise).toEqual(
          [...once.keys()].sort((a, b) => a - b).map((wall) => new Date(wall).toISOString().slice(0, 10)),
        );
        expect(once.size).toBeLessThanOrEqual(keep.daily + keep.weekly + keep.monthly);
        if (walls.length > 0) expect(once.has(Math.max(...walls))).toBe(true);
        expect(once.size).toBeGreaterThanOrEqual(Math.min(walls.length, keep.daily));
      }),
      { numRuns: 60 },
    );
  });
});
