import { describe, expect, it } from "vitest";
import { calibrate } from "../../../station/channels/calibrate.js";
import { defineChannel } from "../../../station/channels/define.js";
import type { ThermometerView } from "../../../station/model/calibration-view.js";
import type { Reason } from "../../../station/model/reading.js";
import { createCalibrationDesk } from "../../../station/setup/calibration-desk.js";

const RANGE = { low: 15, high: 22 };
const water = defineChannel({
  ...{
    id: "coolant-in",
    name: "Coolant into the tube",
    kind: "coolant-inlet",
    source: "probe",
    resolution: 0.0625,
  },
  calibration: {
    points: [
      [0.5, 0],
      [25, 25],
    ],
  },
});
const air = defineChannel({ id: "room-t", kind: "room-temperature", source: "room", point: "temperature" });
const fan = defineChannel({ id: "fan", kind: "extraction-speed", source: "fan", running_at: 900 });

function bench() {
  const desk = createCalibrationDesk([water, air, fan], RANGE);
  let s = 0;
  const now = () => ({ mono: s * 1000, wall: 1_764_000_000_000 + s * 1000 });
  return {
    desk,
    now,
    /** Says a temperature for so long, every two seconds or as often as is told. */
    says(celsius: (s: number) => number, seconds: number, everyS = 2) {
      for (const until = s + seconds; s < until; s += everyS) {
        desk.heard({ source: "probe", point: "temperature", at: now(), value: celsius(s), unit: "Cel" });
      }
    },
    fails(fault: Reason) {
      desk.heard({ source: "probe", point: "temperature", at: now(), fault });
    },
    silent(seconds: number) {
      s += seconds;
    },
    view: () => desk.view(now()).find(({ channel }) => channel === "coolant-in") as ThermometerView,
  };
}

/** Through both baths, with a thermometer that is good to ± 0.1 °C in the warm one. */
function calibrated() {
  const rig = bench();
  rig.says(() => 0.3125, 70);
  rig.desk.take("coolant-in", "low", { by: "ice" }, rig.now());
  rig.says(() => 30.4375, 70);
  rig.desk.take("coolant-in", "high", { by: "limits", truth: 30, within: 0.1 }, rig.now());
  return rig;
}

describe("thermometers that are calibrated", () => {
  it("are known no better for a board that says the same twenty times as often", () => {
    const u = (everyS: number) => {
      const rig = bench();
      rig.says((s) => 0.3125 + 0.0625 * (Math.floor(s) % 2), 70, everyS);
      rig.desk.take("coolant-in", "low", { by: "ice" }, rig.now());
      return rig.view().taken.low?.u;
    };
    expect(u(0.03125)).toBe(u(0.5));
  });

  it("are those of the station, with what the file has of them", () => {
    expect(bench().desk.view({ mono: 0, wall: 0 })).toMatchObject([
      {
        channel: "coolant-in",
        name: "Coolant into the tube",
        inFile: [
          [0.5, 0],
          [25, 25],
        ],
      },
      {
        channel: "room-t",
        inFile: null,
        now: { state: "silent" },
        taken: { low: null, high: null },
        gives: null,
      },
    ]);
  });

  it("are looked at as they are, without the calibration that they have", () => {
    const rig = bench();
    rig.says(() => 0.5, 70);
    expect(rig.view().now).toEqual({ state: "steady", said: 0.5 });
  });

  it("are waited for while they have not been there for a minute, move, or say nothing", () => {
    const rig = bench();
    rig.says(() => 0.3125, 20);
    expect(rig.view().now).toMatchObject({ state: "waiting", secondsToGo: 40 });
    rig.says((s) => 20 - s / 10, 70);
    expect(rig.view().now.state).toBe("moving");
    rig.silent(20);
    expect(rig.view().now).toEqual({ state: "silent" });
  });

  it("begin their minute anew after a reading that was none", () => {
    const rig = bench();
    rig.says(() => 0.3125, 70);
    rig.fails("crc-failed");
    expect(rig.view().now).toEqual({ state: "silent" });
    rig.says(() => 0.3125, 30);
    expect(rig.view().now.state).toBe("waiting");
  });

  it("give points for the file by which they then say the truth, and how good that is where it matters", () => {
    const { desk, view } = calibrated();
    const [edit] = desk.edits("coolant-in");
    if (edit?.edit !== "set-entry") throw new Error("expected a setting");
    expect(edit).toEqual({
      ...{ edit: "set-entry", list: "channels", id: "coolant-in", key: "calibration" },
      value: {
        points: [
          [0.313, 0],
          [30.438, 30],
        ],
      },
    });
    const { points } = edit.value as { points: [number, number][] };
    expect(calibrate({ points }, 0.3125).value).toBeCloseTo(0, 2);
    const { gives, faults } = view();
    expect(faults).toEqual([]);
    expect(gives?.map(({ reads }) => reads)).toEqual([0, 15, 22, 30]);
    // ± 0.1 °C within limits and a step of 0.0625 °C: 2 √((0.1/√3)² + 2 (0.0625/√12)²) = 0.13 at a point; between them both
    // baths share in it, 2 √(½ (0.1/√3)² + 1.5 (0.0625/√12)²) = 0.09 in the middle.
    expect(gives?.map(({ expanded }) => Number(expanded.toFixed(2)))).toEqual([0.13, 0.09, 0.1, 0.13]);
  });

  it("by a certificate have its uncertainty", () => {
    const rig = bench();
    rig.says(() => 30.4375, 70);
    const truth = { by: "certificate", truth: 30.02, expanded: 0.04, coverage: 2 } as const;
    rig.desk.take("coolant-in", "high", truth, rig.now());
    expect(rig.view().taken.high).toMatchObject({ truth: 30.02, takenWall: rig.now().wall });
    expect(rig.view().taken.high?.u).toBeCloseTo(Math.hypot(0.02, 0.0625 / Math.sqrt(12)), 6);
  });

  it("can be taken again, or let go, and then have no points for the file", () => {
    const rig = calibrated();
    rig.desk.forget("coolant-in", "high");
    expect(rig.view()).toMatchObject({ taken: { high: null }, gives: null });
    expect(() => rig.desk.edits("coolant-in")).toThrow("both baths");
    rig.desk.take("coolant-in", "high", { by: "limits", truth: 29, within: 0.1 }, rig.now());
    expect(rig.view().taken.high?.truth).toBe(29);
  });

  it("that were in the same bath twice are told so, and give nothing", () => {
    const rig = bench();
    rig.says(() => 0.3125, 70);
    rig.desk.take("coolant-in", "low", { by: "ice" }, rig.now());
    rig.desk.take("coolant-in", "high", { by: "limits", truth: 30, within: 0.1 }, rig.now());
    expect(rig.view()).toMatchObject({
      faults: [{ point: "high", expected: expect.stringContaining("is it in this bath") }],
      gives: null,
    });
    expect(() => rig.desk.edits("coolant-in")).toThrow("is it in this bath");
  });

  it.each([
    ["says nothing", (_rig: ReturnType<typeof bench>) => {}, "plugged in"],
    ["moves", (rig: ReturnType<typeof bench>) => rig.says((s) => 20 - s / 10, 70), "come to rest"],
  ])("one that %s is not taken, and what to do is said", (_, before, words) => {
    const rig = bench();
    before(rig);
    expect(() => rig.desk.take("coolant-in", "low", { by: "ice" }, rig.now())).toThrow(words);
    expect(rig.view().taken.low).toBeNull();
  });

  it.each(["fan", "nothing"])("%s is no thermometer", (channel) => {
    const { desk, now } = bench();
    expect(() => desk.take(channel, "low", { by: "ice" }, now())).toThrow("No thermometer");
    expect(() => desk.forget(channel, "low")).toThrow("No thermometer");
    expect(() => desk.edits(channel)).toThrow("No thermometer");
  });
});
