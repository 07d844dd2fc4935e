import { describe, expect, it } from "vitest";
import { alarmPerformance, type DatedTransition } from "../../../station/alarms/performance.js";
import { RECOMMENDED } from "../../../station/model/alarm-performance.js";

/** Figures worked out by hand; the ways of counting are those of ISA-18.2 / IEC 62682, from memory. */

const DAY = 86_400_000;
const MINUTE = 60_000;
const FROM = Date.UTC(2026, 0, 1);
const WINDOW = {
  from: FROM,
  to: FROM + 10 * DAY,
  dayOf: (wall: number) => new Date(wall).toISOString().slice(0, 10),
  cut: false,
};

const told = (
  transition: DatedTransition["transition"],
  ms: number,
  changes: Partial<DatedTransition> = {},
): DatedTransition => ({
  ...{ alarm: "coolant-high", kind: "coolant-high", title: "Coolant is too warm", priority: "high" },
  ...{ transition, to: "unacknowledged", wall: FROM + ms, mono: ms, boot: "boot-1", dated: true },
  ...changes,
});
const figures = (...transitions: DatedTransition[]) => alarmPerformance(transitions, WINDOW);
const raisedAt = (...minutes: number[]) => minutes.map((minute) => told("raised", minute * MINUTE));

describe("how the alarms have done", () => {
  it("counts a day's alarms over all days, and finds the worst one", () => {
    const all = figures(...raisedAt(1, 2, 3), told("raised", 2 * DAY), told("acknowledged", 2 * DAY + 1));
    expect(all).toMatchObject({ raised: 4, days: 10, averagePerDay: 0.4 });
    expect(all.averagePerTenMinutes).toBeCloseTo(0.4 / 144, 9);
    expect(all.worstDay).toEqual({ day: "2026-01-01", count: 3 });
  });

  it("says nothing of days where there are none, and of alarms where none was raised", () => {
    const none = alarmPerformance([], { ...WINDOW, to: FROM });
    expect(none).toMatchObject({
      averagePerDay: null,
      worstDay: null,
      topTenShare: null,
      peakInTenMinutes: 0,
    });
    expect(none.toAcknowledge).toEqual({ medianMs: null, longestMs: null, count: 0, unknown: 0 });
  });

  it("finds the most in ten minutes, wherever those begin, and never over a restart", () => {
    expect(figures(...raisedAt(8, 9, 11, 12, 17.9)).peakInTenMinutes).toBe(5);
    expect(figures(...raisedAt(8, 9, 11, 12, 18)).peakInTenMinutes).toBe(4);
    const other = raisedAt(9, 10).map((each) => ({ ...each, boot: "boot-2" }));
    expect(figures(...raisedAt(8, 9), ...other).peakInTenMinutes).toBe(2);
  });

  it("takes more than ten in ten minutes for a flood, until fewer than five are left of the last ten minutes", () => {
    const ten = Array.from({ length: 10 }, (_, i) => i * 0.5);
    expect(figures(...raisedAt(...ten)).floods.count).toBe(0);
    const flood = [...ten, 5];
    // The fifth from the end was at 3 min: at 13 min four are left.
    expect(figures(...raisedAt(...flood)).floods).toEqual({
      count: 1,
      ms: 13 * MINUTE,
      longestMs: 13 * MINUTE,
    });
    const later = flood.map((minute) => minute + 60);
    expect(figures(...raisedAt(...flood, ...later)).floods).toEqual({
      ...{ count: 2, ms: 26 * MINUTE, longestMs: 13 * MINUTE },
    });
    expect(RECOMMENDED.flood).toMatchObject({ above: 10, overBelow: 5 });
  });

  it("puts the most frequent first, with its share, and ten at the most", () => {
    const many = Array.from({ length: 12 }, (_, kind) =>
      Array.from({ length: 12 - kind }, (_, i) =>
        told("raised", (kind * 100 + i) * MINUTE, { alarm: `a${kind}`, title: `A ${kind}` }),
      ),
    ).flat();
    const { frequent, topTenShare } = figures(...many);
    expect(frequent.map(({ alarm, count }) => `${alarm} ${count}`)).toEqual(
      Array.from({ length: 10 }, (_, kind) => `a${kind} ${12 - kind}`),
    );
    // 12 + 11 + ... + 1 is 78, and the last two are 2 and 1.
    expect(topTenShare).toBeCloseTo(75 / 78, 9);
    expect(frequent[0]?.share).toBeCloseTo(12 / 78, 9);
  });

  it("measures from each rise to its answer and to its end, by the monotonic clock", () => {
    const all = figures(
      ...[told("raised", 0), told("acknowledged", 20_000), told("returned-to-normal", 60_000)],
      // The wall clock was set meanwhile, by a year.
      told("raised", 100_000),
      told("acknowledged", 140_000, { wall: FROM + 365 * DAY }),
      told("latched", 400_000),
    );
    expect(all.toAcknowledge).toEqual({ medianMs: 30_000, longestMs: 40_000, count: 2, unknown: 0 });
    expect(all.inAlarm).toEqual({ medianMs: 180_000, longestMs: 300_000, count: 2, unknown: 0 });
  });

  it("goes by the wall clock over a restart, and says where that cannot be told", () => {
    const after = { boot: "boot-2", mono: 5_000 };
    const known = figures(told("raised", 0), told("acknowledged", 90_000, after));
    expect(known.toAcknowledge).toMatchObject({ medianMs: 90_000, unknown: 0 });
    const unset = figures(told("raised", 0), told("acknowledged", 90_000, { ...after, dated: false }));
    expect(unset.toAcknowledge).toMatchObject({ medianMs: null, count: 0, unknown: 1 });
    const back = figures(told("raised", 90_000), told("acknowledged", 0, after));
    expect(back.toAcknowledge).toMatchObject({ medianMs: null, count: 0, unknown: 1 });
  });

  it("measures nothing of what was shelved, suppressed or taken out of service before it was answered", () => {
    for (const hidden of ["shelved", "suppressed", "out-of-service"] as const) {
      const all = figures(
        told("raised", 0),
        told(hidden, 1_000),
        told("acknowledged", 2_000),
        told("returned", 3_000),
      );
      expect([all.toAcknowledge.count, all.inAlarm.count]).toEqual([0, 0]);
    }
  });

  it("puts what a clock that nobody had set has dated into no day", () => {
    const all = figures(told("raised", 0, { dated: false, wall: 0 }), told("raised", MINUTE));
    expect(all).toMatchObject({ raised: 2, undated: 1, worstDay: { day: "2026-01-01", count: 1 } });
  });

  it("counts by priority, and the deeds", () => {
    const all = figures(
      told("raised", 0, { priority: "urgent" }),
      ...raisedAt(1, 2, 3),
      ...(["shelved", "out-of-service", "suppressed", "re-alarmed", "chattering"] as const).map((each) =>
        told(each, 10 * MINUTE),
      ),
    );
    expect(all.priorities).toEqual([
      { priority: "urgent", count: 1, share: 0.25 },
      { priority: "high", count: 3, share: 0.75 },
      { priority: "medium", count: 0, share: 0 },
      { priority: "low", count: 0, share: 0 },
    ]);
    expect(all).toMatchObject({ shelved: 1, takenOutOfService: 1, suppressedByDesign: 1, reAlarmed: 1 });
    expect(all.chattering).toMatchObject([{ alarm: "coolant-high", count: 1 }]);
  });
});
