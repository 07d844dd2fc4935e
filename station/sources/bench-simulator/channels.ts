import type { z } from "zod";
import type { ChannelEntry } from "../../model/channel.js";
import type { benchSimulatorEntrySchema, ScriptedFault } from "./entry.js";
import type { BenchPoint } from "./points.js";
import { DEMO_CYCLE_S } from "./script.js";
import { SENSOR_STEP } from "./sensing.js";

const SOURCE_ID = "bench";
const EVERY_S = 1;

/** The range the demo's coolant should keep, °C: the chiller's cycle stays well inside it. */
export const DEMO_COOLANT_RANGE = { low: 15, high: 22 } as const;

/**
 * Something to see in the first twenty minutes, and again every thirty-two: at 6 min the fan stops in a cut; from 10 min
 * the coolant runs away, and leaves its range in the cut that begins some three minutes later; after 18 min the probe of
 * the coolant inlet comes off. The times fit the long jobs of the demo's script.
 */
export const DEMO_FAULTS: readonly ScriptedFault[] = [
  { fault: "fan-stops", at_s: 360, for_s: 40, repeat_every_s: DEMO_CYCLE_S },
  { fault: "coolant-runs-away", at_s: 600, for_s: 270, repeat_every_s: DEMO_CYCLE_S },
  { fault: "probe-unplugged", point: "coolant-inlet", at_s: 1100, for_s: 30, repeat_every_s: DEMO_CYCLE_S },
];

/** The demo's one source. */
export const DEMO_SOURCE = {
  id: SOURCE_ID,
  driver: "bench-simulator",
  seed: 1,
  every_s: EVERY_S,
  faults: [...DEMO_FAULTS],
} as const satisfies z.input<typeof benchSimulatorEntrySchema>;

/** A channel for every point of the bench. */
export const DEMO_CHANNELS: readonly ChannelEntry[] = [
  analogue("coolant-in", "Coolant into the tube", "coolant-inlet"),
  analogue("coolant-out", "Coolant out of the tube", "coolant-outlet"),
  analogue("coolant-flow", "Coolant flow", "coolant-flow"),
  state("flow-switch", "Coolant flow switch", "coolant-flowing"),
  analogue("room-t", "Room temperature", "room-temperature"),
  analogue("room-rh", "Room humidity", "room-humidity"),
  { ...analogue("air-flow", "Extraction air speed", "extraction-airflow"), running_at: 5 },
  { ...analogue("fan-speed", "Extraction fan speed", "extraction-speed"), running_at: 900 },
  analogue("filter", "Drop over the extraction filter", "filter-pressure"),
  state("extraction", "Extraction air-flow switch", "extraction-running"),
  state("laser", "Laser on", "laser-on"),
  state("lid", "Lid", "lid-open"),
];

/** The parts of a configuration with which the station runs on the simulated bench alone. */
export const DEMO_CONFIG = {
  station: { name: "Simulated bench" },
  coolant_range: DEMO_COOLANT_RANGE,
  // The fan of the script is off 45 s after a job, and a run ends some seconds after its last beam.
  after_cut: { run_on_s: 30 },
  sources: [DEMO_SOURCE],
  channels: DEMO_CHANNELS,
} as const;

function analogue(id: string, name: string, point: keyof typeof SENSOR_STEP): ChannelEntry {
  return { ...state(id, name, point), resolution: SENSOR_STEP[point] };
}

function state(id: string, name: string, point: BenchPoint): ChannelEntry {
  return { id, name, kind: point, source: SOURCE_ID, point, expected_every_s: EVERY_S };
}
