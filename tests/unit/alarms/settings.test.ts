import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { createAlarmSettings } from "../../../station/alarms/settings.js";
import { AppError } from "../../../station/errors.js";
import { channel, RANGE } from "./given.js";

const file = defineAlarms(
  {},
  { channels: [channel("in", "coolant-inlet"), channel("fan", "extraction-speed")], coolantRange: RANGE },
);
const settings = () => createAlarmSettings(file, { leastDiskMb: 32 });
const refusedFields = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    if (error instanceof AppError) return { code: error.code, fields: error.errors.map(({ path }) => path) };
    throw error;
  }
  return "taken";
};

describe("how the owner sets an alarm", () => {
  it("stands over the file with its reason, tells old and new, and leaves all else", () => {
    const alarms = settings();
    const kept = alarms.change("coolant-high", { setpoint: 23, action: "Call the owner." }, "A new tube");
    expect(kept).toEqual({
      set: { setpoint: 23, action: "Call the owner." },
      why: "A new tube",
      changes: [
        { field: "setpoint", from: 22, to: 23 },
        {
          field: "action",
          from: file.find(({ id }) => id === "coolant-high")?.action,
          to: "Call the owner.",
        },
      ],
    });
    expect(alarms.view("coolant-high")).toMatchObject({
      definition: { setpoint: 23, deadband: 0.2, reason: "A new tube", action: "Call the owner." },
      file: { setpoint: 22 },
      changed: ["setpoint", "action"],
    });
    expect(alarms.definitions().map(({ id }) => id)).toEqual(file.map(({ id }) => id));
    expect(
      alarms
        .definitions()
        .filter(({ id }, i) => alarms.definitions()[i] !== file[i] && id !== "coolant-high"),
    ).toEqual([]);
  });

  it("adds to what was set before, and what is as in the file no longer stands over it", () => {
    const alarms = settings();
    alarms.change("coolant-high", { setpoint: 23 }, "A new tube");
    const second = alarms.change("coolant-high", { setpoint: 22, onDelayS: 10 }, "The old tube again");
    expect(second?.set).toEqual({ onDelayS: 10 });
    expect(second?.changes.map(({ field }) => field)).toEqual(["setpoint", "onDelayS"]);
    expect(alarms.toFile("coolant-high", "No need")?.set).toEqual({});
    expect(alarms.view("coolant-high")).toMatchObject({
      changed: [],
      definition: { setpoint: 22, onDelayS: 5 },
    });
    expect(alarms.view("coolant-high").definition).toEqual(alarms.view("coolant-high").file);
  });

  it("does nothing where nothing changes", () => {
    expect(settings().change("coolant-high", { setpoint: 22 }, "No change")).toBeNull();
    expect(settings().toFile("coolant-high", "No change")).toBeNull();
  });

  it.each([
    ["a setpoint beyond what can be measured", "coolant-high", { setpoint: 101 }, "setpoint"],
    ["a high setpoint below the low one", "coolant-high", { setpoint: 18 }, "setpoint"],
    ["a low setpoint above the high one", "coolant-low", { setpoint: 23 }, "setpoint"],
    ["a deadband as wide as the range", "coolant-low", { deadband: 4 }, "deadband"],
    ["a setpoint for a state", "extraction-stopped", { setpoint: 1 }, "setpoint"],
    ["a delay of more than an hour", "extraction-stopped", { onDelayS: 3601 }, "onDelayS"],
    ["a negative delay", "extraction-stopped", { offDelayS: -1 }, "offDelayS"],
    ["a disk that is full before it is nearly full", "disk-nearly-full", { setpoint: 32 }, "setpoint"],
    ["a disk that fills after it is nearly full", "disk-filling", { setpoint: 100 }, "setpoint"],
    ["a sound again at once", "extraction-stopped", { reAlarmMin: 0 }, "reAlarmMin"],
  ])("refuses %s, with its field, and sets nothing", (_, alarm, set, field) => {
    const alarms = settings();
    expect(refusedFields(() => alarms.change(alarm, set, "To see"))).toEqual({
      ...{ code: "alarm-setting-refused", fields: [field] },
    });
    expect(alarms.view(alarm).changed).toEqual([]);
    expect(refusedFields(() => alarms.change("coolant-hot", {}, "To see"))).toMatchObject({
      code: "alarm-unknown",
    });
  });

  it("is taken up after a restart, but for what no longer goes with the file, and for what was set since", () => {
    const kept = (setpoint: number) => ({ set: { setpoint }, why: "As before", changes: [] });
    const alarms = settings();
    alarms.change("disk-filling", { setpoint: 3000 }, "Set since");
    const passedOver = alarms.takeUp(
      new Map([
        ["coolant-high", kept(23)],
        ["coolant-low", kept(23.5)],
        ["disk-filling", kept(500)],
        ["gone", kept(1)],
      ]),
    );
    expect(passedOver).toEqual(["coolant-low"]);
    const setpoint = (id: string) => alarms.view(id).definition.setpoint;
    expect([setpoint("coolant-high"), setpoint("coolant-low"), setpoint("disk-filling")]).toEqual([
      23, 18, 3000,
    ]);
    expect(alarms.view("coolant-high").definition.reason).toBe("As before");
  });
});
