import { beforeAll, describe, expect, it } from "vitest";

// Before anything that asks for the local time is loaded. The clocks of this zone went forward at 01:00 UTC on 29 March 2026
// and go back at 01:00 UTC on 25 October 2026 (IANA time zone database, Europe/London: last Sundays of March and October).
process.env.TZ = "Europe/London";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
let calendarTicks: typeof import("../../../ui/src/charts/calendar.js").calendarTicks;
let spanText: typeof import("../../../ui/src/words/time.js").spanText;

beforeAll(async () => {
  ({ calendarTicks } = await import("../../../ui/src/charts/calendar.js"));
  ({ spanText } = await import("../../../ui/src/words/time.js"));
  expect(new Date(Date.UTC(2026, 6, 1)).getTimezoneOffset()).toBe(-60);
});

const labels = (from: number, to: number, px: number) =>
  calendarTicks(from, to, px).map(({ label }) => label);

describe("the times below a chart", () => {
  it("are round moments of local time", () => {
    const from = Date.UTC(2026, 4, 4, 9, 0, 20);
    expect(labels(from, from + 60_000, 600)).toEqual([
      "10:00:20",
      "10:00:30",
      "10:00:40",
      "10:00:50",
      "10:01:00",
      "10:01:10",
      "10:01:20",
    ]);
    expect(labels(from, from + HOUR, 500)).toEqual(["10:10", "10:20", "10:30", "10:40", "10:50", "11:00"]);
    expect(labels(from, from + DAY, 300)).toEqual(["12:00", "18:00", "5 May", "06:00"]);
  });

  it("begin every day at midnight, the days of 23 and 25 hours too", () => {
    const midnights = (from: number, to: number) => calendarTicks(from, to, 400).map(({ value }) => value);
    const spring = midnights(Date.UTC(2026, 2, 27, 12), Date.UTC(2026, 3, 1, 12));
    expect(spring.map((at, i) => (at - (spring[i - 1] ?? at)) / HOUR)).toEqual([0, 24, 23, 24, 24]);
    const autumn = midnights(Date.UTC(2026, 9, 23, 12), Date.UTC(2026, 9, 28, 12));
    expect(autumn.map((at, i) => (at - (autumn[i - 1] ?? at)) / HOUR)).toEqual([0, 24, 25, 24, 24]);
    for (const at of [...spring, ...autumn]) expect(new Date(at).getHours()).toBe(0);
  });

  it("name no hour that the clocks skip, and the hour they repeat once", () => {
    const spring = labels(Date.UTC(2026, 2, 29, 0), Date.UTC(2026, 2, 29, 4), 400);
    expect(spring).toEqual(["29 Mar", "02:00", "03:00", "04:00", "05:00"]);
    const autumn = calendarTicks(Date.UTC(2026, 9, 24, 23), Date.UTC(2026, 9, 25, 4), 400);
    expect(autumn.map(({ label }) => label)).toEqual(["25 Oct", "01:00", "02:00", "03:00", "04:00"]);
    expect(autumn.map(({ value }, i) => (value - (autumn[i - 1]?.value ?? value)) / HOUR)).toEqual([
      0, 1, 2, 1, 1,
    ]);
  });

  it("become days, months and years, with the year where it begins", () => {
    const from = Date.UTC(2025, 10, 15);
    expect(labels(from, from + 7 * DAY, 800)).toContain("Mon 17 Nov");
    expect(labels(from, from + 120 * DAY, 240)).toEqual(["Dec", "2026", "Feb", "Mar"]);
    expect(labels(from, from + 3650 * DAY, 400)).toEqual(["2026", "2028", "2030", "2032", "2034"]);
    expect(labels(from, from + 3650 * DAY, 700)).toHaveLength(10);
  });

  it("never stand nearer than their words allow, from a minute to ten years on any screen", () => {
    for (const px of [250, 330, 740, 1120]) {
      for (let length = 60_000; length < 3653 * DAY; length *= 1.7) {
        const from = Date.UTC(2026, 2, 20, 7, 13, 29);
        const ticks = calendarTicks(from, from + length, px);
        expect(ticks.length, `${length} ms on ${px} px`).toBeGreaterThanOrEqual(1);
        const apart = ticks.slice(1).map(({ value }, i) => ((value - (ticks[i]?.value ?? 0)) * px) / length);
        // A month may be 28 days where 30.5 were reckoned with; some 7 px of air is left for a label of three letters.
        for (const gap of apart) expect(gap, `${length} ms on ${px} px`).toBeGreaterThan(43);
      }
    }
  });
});

describe("a span in words", () => {
  it("names the day once, and the zone, or both zones where the clocks change", () => {
    const at = (month: number, day: number, hour: number) => Date.UTC(2026, month, day, hour);
    expect(spanText(at(10, 24, 14), at(10, 24, 15))).toBe("Tue 24 Nov 2026, 14:00 – 15:00 GMT");
    expect(spanText(at(6, 1, 14), at(6, 2, 15))).toBe("Wed 1 Jul 2026, 15:00 – Thu 2 Jul 2026, 16:00 BST");
    expect(spanText(at(9, 24, 14), at(9, 25, 14))).toBe(
      "Sat 24 Oct 2026, 15:00 BST – Sun 25 Oct 2026, 14:00 GMT",
    );
    expect(spanText(at(10, 24, 14), at(10, 24, 14) + 60_000)).toBe(
      "Tue 24 Nov 2026, 14:00:00 – 14:01:00 GMT",
    );
  });
});
