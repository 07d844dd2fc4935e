import { describe, expect, test } from "vitest";
import { channelSchema } from "../../../station/model/channel.js";
import { CHANNEL_KINDS } from "../../../station/model/quantity.js";
import {
  DEMO_CHANNELS,
  DEMO_CONFIG,
  DEMO_SOURCE,
} from "../../../station/sources/bench-simulator/channels.js";
import { benchSimulatorEntrySchema } from "../../../station/sources/bench-simulator/entry.js";
import { BENCH_POINTS } from "../../../station/sources/bench-simulator/points.js";

const MINIMAL = { id: "bench", driver: "bench-simulator" };

describe("the demo's channels", () => {
  test("are valid, have ids of their own, and read every point of the one source once", () => {
    for (const channel of DEMO_CHANNELS) {
      expect(channelSchema.parse(channel)).toEqual(channel);
      expect(channel.source).toBe(DEMO_SOURCE.id);
      expect(channel.kind).toBe(channel.point);
    }
    expect(new Set(DEMO_CHANNELS.map((channel) => channel.id)).size).toBe(DEMO_CHANNELS.length);
    expect(DEMO_CHANNELS.map((channel) => channel.point).sort()).toEqual([...BENCH_POINTS].sort());
  });

  test("have a resolution where they are analogue, and a threshold where they are extraction", () => {
    for (const channel of DEMO_CHANNELS) {
      const analogue = CHANNEL_KINDS[channel.kind].form === "analogue";
      expect(channel.resolution !== undefined).toBe(analogue);
      expect(channel.running_at !== undefined).toBe(analogue && channel.kind.startsWith("extraction"));
    }
  });

  test("stand in a configuration with a source that its schema takes", () => {
    expect(
      DEMO_CONFIG.sources.map((source) => benchSimulatorEntrySchema.parse(source).faults.length),
    ).toEqual([3]);
    expect(DEMO_CONFIG.coolant_range.low).toBeLessThan(DEMO_CONFIG.coolant_range.high);
  });
});

describe("the simulator's entry", () => {
  test("needs no more than its id, and then is peaceful", () => {
    expect(benchSimulatorEntrySchema.parse(MINIMAL)).toEqual({
      ...MINIMAL,
      seed: 1,
      every_s: 1,
      time_factor: 1,
      cutting: "demo",
      faults: [],
      ambient: { temperature_c: 20.5, humidity_pct: 45 },
    });
  });

  test.each([
    ["an unknown setting", { speed: 2 }],
    ["a seed that is no whole number", { seed: 1.5 }],
    ["readings without end", { every_s: 0 }],
    ["time standing still", { time_factor: 0 }],
    ["an unknown way of cutting", { cutting: "sometimes" }],
    ["a cut longer than its period", { cutting: { every_s: 5, for_s: 6 } }],
    ["an unknown fault", { faults: [{ fault: "fire", at_s: 1, for_s: 1 }] }],
    ["a fault without a length", { faults: [{ fault: "fan-stops", at_s: 1 }] }],
    [
      "a fault of an unknown point",
      { faults: [{ fault: "sensor-silent", point: "moon", at_s: 1, for_s: 1 }] },
    ],
    ["a room below freezing", { ambient: { temperature_c: -3 } }],
  ])("refuses %s", (_, more) => {
    expect(benchSimulatorEntrySchema.safeParse({ ...MINIMAL, ...more }).success).toBe(false);
  });
});
