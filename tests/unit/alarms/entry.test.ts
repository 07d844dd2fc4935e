import { describe, expect, it } from "vitest";
import { RE_ALARM_MIN } from "../../../station/alarms/default.js";
import { ALARM_DEFAULTS } from "../../../station/alarms/definitions.js";
import { type AlarmsEntry, alarmsEntrySchema, defineAlarms } from "../../../station/alarms/entry.js";
import { AppError } from "../../../station/errors.js";
import type { ChannelKind } from "../../../station/model/quantity.js";
import { channel, RANGE } from "./given.js";

const define = (entry: AlarmsEntry, ...kinds: ChannelKind[]) =>
  defineAlarms(entry, { channels: kinds.map((kind) => channel(kind, kind)), coolantRange: RANGE });
const ids = (entry: AlarmsEntry, ...kinds: ChannelKind[]) => define(entry, ...kinds).map(({ id }) => id);

/** Of the fire watch, and of the journal and its disk, which every station has. */
const FIRE = ["fire-watch-due", "fire-watch-late", "fire-watch-missed"];
const KEEPING = [
  "journal-not-writing",
  "readings-held",
  "disk-nearly-full",
  "disk-filling",
  "disk-slow",
  "journal-damaged",
  "charts-damaged",
];

describe("the alarms of a station", () => {
  it("are only those whose channels exist", () => {
    expect(ids({})).toEqual([...FIRE, ...KEEPING]);
    expect(ids({}, "coolant-inlet")).toEqual([
      "coolant-high",
      "coolant-low",
      "coolant-rising",
      ...FIRE,
      "sensor-dead:coolant-inlet",
      ...KEEPING,
    ]);
    expect(ids({}, "extraction-airflow", "coolant-flowing")).toEqual([
      "extraction-stopped",
      "extraction-not-running",
      "run-on-cut-short",
      "coolant-flow-lost",
      ...FIRE,
      // Two channels of one source: a board.
      "board-silent:bench",
      "sensor-dead:extraction-airflow",
      "sensor-dead:coolant-flowing",
      ...KEEPING,
    ]);
    expect(ids({}, "coolant-inlet", "room-temperature")).not.toContain("condensation-risk");
    expect(ids({}, "coolant-inlet", "room-temperature", "room-humidity")).toContain("condensation-risk");
  });

  it("take the coolant setpoints from the set range", () => {
    const [high, low] = define({}, "coolant-inlet");
    expect(high).toMatchObject({
      setpoint: 22,
      deadband: 0.2,
      onDelayS: 5,
      offDelayS: 10,
      priority: "high",
      unit: "°C",
    });
    expect(low).toMatchObject({ setpoint: 18, deadband: 0.2, unit: "°C" });
  });

  it("give a dead sensor a higher priority where its loss matters most", () => {
    const priorities = define({}, "coolant-inlet", "extraction-speed", "room-humidity")
      .filter(({ kind }) => kind === "sensor-dead")
      .map(({ id, priority }) => [id, priority]);
    expect(priorities).toEqual([
      ["sensor-dead:coolant-inlet", "high"],
      ["sensor-dead:extraction-speed", "high"],
      ["sensor-dead:room-humidity", "medium"],
    ]);
  });

  it("say what is behind them, what follows, what to do and how soon, and why they are set so, every one", () => {
    for (const each of Object.values(ALARM_DEFAULTS)) {
      expect(each.title).toMatch(/^[A-Z].*[^.]$/);
      for (const words of [each.cause, each.consequence, each.action, each.reason]) {
        expect(words).toMatch(/^[A-Z].*\.$/);
      }
      expect(each.respondWithinS).toBeGreaterThan(0);
    }
  });

  it("have a setpoint and a deadband that may be set where they compare a number, and none where they watch a state", () => {
    for (const { side, setpoint, setpointRange, deadband, deadbandMost, unit } of Object.values(
      ALARM_DEFAULTS,
    )) {
      const parts = [setpointRange, deadband, deadbandMost, unit];
      expect(parts.map((part) => part !== null)).toEqual(parts.map(() => side !== null));
      if (setpointRange === null) expect(setpoint).toBeNull();
      else if (setpoint !== null) {
        expect(setpoint).toBeGreaterThanOrEqual(setpointRange[0]);
        expect(setpoint).toBeLessThanOrEqual(setpointRange[1]);
      }
      if (deadband !== null) expect(deadband).toBeLessThanOrEqual(deadbandMost ?? 0);
    }
  });

  it("sound again after a time of their priority, unless the entry says otherwise", () => {
    const entry = alarmsEntrySchema.parse({
      "coolant-high": { priority: "urgent" },
      "coolant-low": { re_alarm_min: null, latching: true },
    });
    expect(define(entry, "coolant-inlet")).toMatchObject([
      { id: "coolant-high", reAlarmMin: RE_ALARM_MIN.urgent, latching: false },
      { id: "coolant-low", reAlarmMin: null, latching: true },
      { id: "coolant-rising" },
      ...FIRE.map((id) => ({ id })),
      { id: "sensor-dead:coolant-inlet", reAlarmMin: RE_ALARM_MIN.high },
      ...KEEPING.map((id) => ({ id })),
    ]);
  });

  it("follow the entry where it says otherwise", () => {
    const entry = alarmsEntrySchema.parse({
      "coolant-high": { setpoint: 21, deadband: 0.5, on_delay_s: 0, off_delay_s: 60, priority: "urgent" },
      "coolant-low": { enabled: false },
      "sensor-dead": { priority: "low" },
    });
    expect(define(entry, "coolant-inlet")).toMatchObject([
      { id: "coolant-high", setpoint: 21, deadband: 0.5, onDelayS: 0, offDelayS: 60, priority: "urgent" },
      { id: "coolant-rising" },
      ...FIRE.map((id) => ({ id })),
      { id: "sensor-dead:coolant-inlet", priority: "low" },
      ...KEEPING.map((id) => ({ id })),
    ]);
  });

  it("compare the flow with the least that is asked for, or with standstill where none is", () => {
    expect(define({ flow_low_l_min: 2 }, "coolant-flow")[0]).toMatchObject({
      setpoint: 2,
      deadband: 0.2,
      unit: "L/min",
    });
    expect(define({}, "coolant-flow")[0]).toMatchObject({ setpoint: null, deadband: null, unit: null });
  });
});

describe("an alarms entry that cannot be meant", () => {
  const refused = (entry: AlarmsEntry, ...kinds: ChannelKind[]) => {
    try {
      define(entry, ...kinds);
    } catch (error) {
      if (error instanceof AppError) return { code: error.code, paths: error.errors.map(({ path }) => path) };
      throw error;
    }
    return "taken";
  };

  it("is refused with its path", () => {
    expect(refused({ flow_low_l_min: 2 }, "coolant-flowing")).toEqual({
      code: "config-invalid",
      paths: ["alarms.flow_low_l_min"],
    });
    expect(refused({ "coolant-high": { setpoint: 18 } }, "coolant-inlet")).toEqual({
      code: "config-invalid",
      paths: ["alarms.coolant-high.setpoint"],
    });
    expect(refused({ "coolant-low": { deadband: 4 } }, "coolant-inlet")).toEqual({
      code: "config-invalid",
      paths: ["alarms.coolant-low.deadband"],
    });
  });

  it.each([
    ["an unknown kind", { "coolant-hi": {} }],
    ["a setpoint for a state", { "extraction-stopped": { setpoint: 1 } }],
    ["a second way to set the least flow", { "coolant-flow-lost": { setpoint: 2 } }],
    ["a negative delay", { "coolant-high": { on_delay_s: -1 } }],
    ["a negative deadband", { "coolant-high": { deadband: -0.1 } }],
    ["a priority that is none", { "coolant-high": { priority: "critical" } }],
  ])("is refused by its form: %s", (_, entry) => {
    expect(alarmsEntrySchema.safeParse(entry).success).toBe(false);
  });
});
