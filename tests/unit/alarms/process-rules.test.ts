import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { type CoolantTrend, unknownTrend } from "../../../station/conditions/coolant-trend.js";
import { channel, faulty, good, observed, picture, RANGE } from "./given.js";

const fan = channel("fan", "extraction-speed");
const air = channel("air", "extraction-airflow");
const inlet = channel("in", "coolant-inlet");
const outlet = channel("out", "coolant-outlet");
const flow = channel("flow", "coolant-flow");
const channels = [fan, air, inlet, outlet, flow];
const definitions = defineAlarms({}, { channels, coolantRange: RANGE });
const of = (alarm: string, ...pictures: ReturnType<typeof picture>[]) =>
  observed(definitions, alarm, pictures);

const RUN = { id: "run-1", startMono: 0 };
const RUNNING = { state: "running", text: "running: air 12.0 m/s" } as const;
const IN_VAIN = {
  state: "stopped",
  turns: true,
  text: "moves no air: fan turns at 2600 1/min, but air reads 0.2 m/s, below 5 m/s",
} as const;
const STILL = { state: "stopped", text: "stopped: fan reads 0 1/min, below 900 1/min" } as const;

describe("extraction that turns and moves no air", () => {
  const alarm = "extraction-no-air";

  it.each([
    ["in a run", { run: RUN, extraction: IN_VAIN }, "present"],
    ["with the laser on and no run", { laserOn: true, extraction: IN_VAIN }, "present"],
    ["with nothing being cut", { extraction: IN_VAIN }, "absent"],
    ["while air moves", { run: RUN, extraction: RUNNING }, "absent"],
    ["where the fan stands, which is another alarm", { run: RUN, extraction: STILL }, "absent"],
    ["where nothing is known", { run: RUN, extraction: { state: "unknown", text: "not known" } }, "unknown"],
  ] as const)("%s", (_, changes, presence) => {
    expect(of(alarm, picture(0, changes)).presence).toBe(presence);
  });

  it("says what it goes by", () => {
    expect(of(alarm, picture(0, { run: RUN, extraction: IN_VAIN })).detail).toBe(
      "Extraction moves no air: fan turns at 2600 1/min, but air reads 0.2 m/s, below 5 m/s (a run is open)",
    );
  });

  it("takes the place of the two that would send people to the switch, and gives it back", () => {
    const ran = picture(0, { run: RUN, extraction: RUNNING });
    const vain = picture(1, { run: RUN, extraction: IN_VAIN });
    expect(of("extraction-stopped", ran, vain).presence).toBe("unknown");
    expect(of("extraction-not-running", vain).presence).toBe("unknown");
    expect(of("extraction-stopped", ran, vain, picture(2, { run: RUN, extraction: STILL })).presence).toBe(
      "present",
    );
  });

  it("leaves them be where it was switched off", () => {
    const without = defineAlarms(
      { "extraction-no-air": { enabled: false } },
      { channels, coolantRange: RANGE },
    );
    const pictures = [
      picture(0, { run: RUN, extraction: RUNNING }),
      picture(1, { run: RUN, extraction: IN_VAIN }),
    ];
    expect(observed(without, "extraction-stopped", pictures).presence).toBe("present");
  });

  it("needs a fan that is counted, and a sensor in the air", () => {
    const ids = (...kept: typeof channels) =>
      defineAlarms({}, { channels: kept, coolantRange: RANGE }).map(({ kind }) => kind);
    expect(ids(fan, air)).toContain(alarm);
    expect(ids(fan)).not.toContain(alarm);
    expect(ids(air)).not.toContain(alarm);
  });
});

describe("coolant that rises fast", () => {
  const alarm = "coolant-rising";
  const trend = (changes: Partial<CoolantTrend>): { trend: CoolantTrend } => ({
    trend: {
      ...unknownTrend(),
      word: "rising",
      slopePerMin: 0.67,
      slopeSe: 0.02,
      level: 20,
      minutesInRange: 3.2,
      ...changes,
    },
  });

  it.each([
    ["rising, and out of range within minutes", {}, "present"],
    ["above its range and rising on", { place: "above", minutesInRange: 0 }, "present"],
    ["rising as fast, but with room enough: a chiller's own saw-tooth", { minutesInRange: 9 }, "absent"],
    ["rising slowly towards a bound that is near", { slopePerMin: 0.1 }, "absent"],
    ["cycling with the chiller", { word: "cycling", slopePerMin: 0.01 }, "absent"],
    ["falling", { word: "falling", slopePerMin: -2 }, "absent"],
    ["too cold and warming up", { place: "below", minutesInRange: 0 }, "absent"],
    ["unknown", { word: "unknown", slopePerMin: null }, "unknown"],
  ] as const)("%s", (_, changes, presence) => {
    expect(of(alarm, picture(0, trend(changes))).presence).toBe(presence);
  });

  it.each([
    ["no higher than its chiller has let it rise within the hour", 19.9, {}, "absent"],
    ["higher than that", 19.6, {}, "present"],
    ["of which nobody knows how high it goes", null, {}, "present"],
    ["above its range, where it has been before", 23, { place: "above", minutesInRange: 0 }, "present"],
  ] as const)("is told of water %s", (_, usualHeightC, changes, presence) => {
    const seen = of(alarm, picture(0, { ...trend(changes), usualHeightC }));
    expect(seen.presence).toBe(presence);
    expect(/no higher yet than it was within the last hour \(19\.9 °C\)$/.test(seen.detail)).toBe(
      presence === "absent",
    );
  });

  it("says how fast, and for how long it stays", () => {
    expect(of(alarm, picture(0, trend({}))).detail).toBe(
      "The coolant rises 0.67 °C/min; at this rate it leaves its range in about 3 min",
    );
  });
});

describe("heat in the tube without flow", () => {
  const alarm = "coolant-heat-no-flow";
  const see = (into: number, out: number, flowing: number, more: Parameters<typeof picture>[1] = {}) =>
    of(
      alarm,
      picture(1, { channels: [good(inlet, into, 1), good(outlet, out, 1), good(flow, flowing, 1)], ...more }),
    );

  it("is present with still water that is warmer out of the tube than into it, with the laser off too", () => {
    expect(see(20, 26, 0)).toMatchObject({
      presence: "present",
      value: 6,
      detail: "The coolant is not flowing, and is 26.0 °C out of the tube, 6.0 °C above what flows in",
    });
  });

  it("is absent while water flows, however warm, and in a machine that is off and cold", () => {
    expect(see(20, 40, 3).presence).toBe("absent");
    expect(see(24, 24.3, 0).presence).toBe("absent");
  });

  it("is unknown where it cannot be told", () => {
    const blind = [good(inlet, 20, 1), faulty(outlet, "unplugged", 1), good(flow, 0, 1)];
    expect(of(alarm, picture(1, { channels: blind })).presence).toBe("unknown");
    const noFlow = [good(inlet, 20, 1), good(outlet, 30, 1), faulty(flow, "unplugged", 1)];
    expect(of(alarm, picture(1, { channels: noFlow })).presence).toBe("unknown");
  });

  it("leaves the laser that is on to the alarm of lost flow, but where there is none", () => {
    expect(see(20, 20, 0, { laserOn: true }).presence).toBe("absent");
    const without = defineAlarms(
      { "coolant-flow-lost": { enabled: false } },
      { channels, coolantRange: RANGE },
    );
    const cold = [good(inlet, 20, 1), good(outlet, 20, 1), good(flow, 0, 1)];
    expect(observed(without, alarm, [picture(1, { laserOn: true, channels: cold })]).presence).toBe(
      "present",
    );
  });

  it("is present with the laser on where the alarm of lost flow is there and passes over a flow of nothing", () => {
    const still = [good(inlet, 20, 1), good(outlet, 20, 1), good(flow, 0, 1)];
    const lax = defineAlarms({ "coolant-flow-lost": { setpoint: 0 } }, { channels, coolantRange: RANGE });
    const shown = picture(1, { laserOn: true, channels: still });
    expect(observed(lax, "coolant-flow-lost", [shown]).presence).toBe("absent");
    expect(observed(lax, alarm, [shown]).presence).toBe("present");
  });
});
