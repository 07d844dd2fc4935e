import { describe, expect, it } from "vitest";
import type { ThinOrder } from "../../station/journal/protocol.js";
import type { KeptSession, LoggedSettingChange } from "../../station/journal/reader-calls.js";
import type { ClockState } from "../../station/model/instant.js";
import { createRetention, STAMP_REACH } from "../../station/retention.js";
import { KEEP_PATH, SETTINGS_SUBJECT } from "../../station/setting-changes.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const NOW = Date.UTC(2030, 0, 1);

function changed(id: number, daysAgo: number, path: string, value: unknown): LoggedSettingChange {
  const at = { wall: NOW - daysAgo * DAY, mono: 0 };
  return { id, session: 1, subject: SETTINGS_SUBJECT, path, old: undefined, new: value, at, by: null };
}

function station(
  days: number | null,
  changes: readonly LoggedSettingChange[],
  state: ClockState = "synchronised",
  sessions: KeptSession[] = [],
) {
  const orders: ThinOrder[] = [];
  const lines: string[] = [];
  const clock = { mono: 0, state, sound: true };
  const ordered: (() => void)[] = [];
  const retention = createRetention({
    days,
    clock: { now: () => ({ wall: NOW + clock.mono, mono: clock.mono }), state: () => clock.state },
    journal: {
      thin: async (order) => {
        orders.push(order);
        for (const go of ordered.splice(0)) go();
      },
    },
    // Two to a page, newest first, as the journal gives them.
    reader: {
      sessions: async () => sessions,
      clockSteps: async () => [],
      settingChanges: async ({ before = Number.POSITIVE_INFINITY }) => {
        const older = changes.filter(({ id }) => id < before).sort((a, b) => b.id - a.id);
        return { changes: older.slice(0, 2), more: older.length > 2 };
      },
    },
    sound: () => clock.sound,
    log: (_level, words) => {
      lines.push(words);
      for (const go of ordered.splice(0)) go();
    },
  });
  return {
    retention,
    orders,
    lines,
    clock,
    /** Ticks, and waits for what that sets off. */
    tick: async (mono: number) => {
      clock.mono = mono;
      const done = new Promise<void>((go) => ordered.push(go));
      retention.tick({ wall: NOW + mono, mono });
      await done;
      await Promise.resolve();
    },
  };
}

describe("carrying out the rule of keeping", () => {
  const stood = [
    changed(1, 400, KEEP_PATH, null),
    changed(2, 300, "runs", { min_good_share: 0.8 }),
    changed(3, 200, KEEP_PATH, 90),
    changed(4, 100, "coolant_range", 30),
  ];

  it("says the rule, and orders once an hour what is older to be thinned, around what stamps were made of", async () => {
    const { retention, orders, lines, tick } = station(90, stood);
    retention.tick({ wall: NOW, mono: 0 });
    retention.begin();
    await tick(0);
    expect(lines).toEqual([
      expect.stringMatching(/^readings older than 90 days lose their full resolution for good/),
    ]);
    await new Promise<void>((go) => setImmediate(go));
    retention.tick({ wall: NOW, mono: HOUR - 1 });
    await tick(HOUR);
    await new Promise<void>((go) => setImmediate(go));
    expect(orders).toEqual([
      { beforeWall: NOW - 90 * DAY, reach: STAMP_REACH },
      { beforeWall: NOW + HOUR - 90 * DAY, reach: STAMP_REACH },
    ]);
    expect(lines).toHaveLength(1);
  });

  it("says of a new rule when it begins, and goes by the one before until then", async () => {
    const { retention, orders, lines, tick } = station(45, [...stood, changed(5, 1, KEEP_PATH, 45)]);
    retention.begin();
    await tick(0);
    await new Promise<void>((go) => setImmediate(go));
    expect(lines[0]).toMatch(/older than 45 days.*This is new: it is in force from 2030-01-07T/);
    expect(orders[0]?.beforeWall).toBe(NOW - 90 * DAY);
  });

  it("takes nothing away while it is not known that the clock is right, and says so", async () => {
    for (const state of ["not synchronised", "unknown"] as const) {
      const { retention, orders, lines, clock, tick } = station(90, stood, state);
      retention.begin();
      await tick(0);
      expect(lines).toEqual([expect.stringMatching(/Nothing is taken away while it is not known/)]);
      expect(orders).toEqual([]);
      clock.state = "synchronised";
      await tick(HOUR);
      await new Promise<void>((go) => setImmediate(go));
      expect(orders).toHaveLength(1);
    }
  });

  it("takes nothing away while the journal is not known to be sound, and says so", async () => {
    const { retention, orders, lines, clock, tick } = station(90, stood);
    clock.sound = false;
    retention.begin();
    await tick(0);
    expect(lines).toEqual([expect.stringMatching(/Nothing is taken away while .* the journal is sound$/)]);
    expect(orders).toEqual([]);
    clock.sound = true;
    await tick(HOUR);
    await new Promise<void>((go) => setImmediate(go));
    expect(orders).toHaveLength(1);
  });

  it("gives a rule its seven days though a clock that was not set dated it years ago", async () => {
    const begun = (number: number, daysAgo: number, clock: ClockState): KeptSession => ({
      ...{ session: number, start: `start-${number}`, bootId: `boot-${number}`, clock },
      ...{ at: { wall: NOW - daysAgo * DAY, mono: 0 }, version: "1", simulated: false, configHash: "" },
    });
    const late = { ...changed(5, 2000, KEEP_PATH, 45), session: 2 };
    const sessions = [begun(1, 400, "synchronised"), begun(2, 2000, "not synchronised")];
    const unset = station(45, [...stood, late], "synchronised", sessions);
    unset.retention.begin();
    await unset.tick(0);
    await new Promise<void>((go) => setImmediate(go));
    expect(unset.orders[0]?.beforeWall).toBe(NOW - 90 * DAY);
    // The first start whose clock was right is when it has stood for certain.
    const set = station(45, [...stood, late], "synchronised", [...sessions, begun(3, 2, "synchronised")]);
    set.retention.begin();
    await set.tick(0);
    await new Promise<void>((go) => setImmediate(go));
    expect(set.orders[0]?.beforeWall).toBe(NOW - 90 * DAY);
    expect(set.lines[0]).toMatch(/in force from 2030-01-06T/);
  });

  it("is silent and does nothing without a rule", () => {
    const { retention, orders, lines } = station(null, stood);
    retention.begin();
    retention.tick({ wall: NOW, mono: 0 });
    expect([orders, lines]).toEqual([[], []]);
  });
});
