import { z } from "zod";
import { idSchema } from "../../model/channel.js";
import { BENCH_POINTS } from "./points.js";

/** Simulated seconds from the start of the bench; a week is the longest that anything can be put off. */
const atSchema = z.number().min(0).max(604_800);
const lengthSchema = z.number().min(0.1).max(604_800);

const timing = {
  /** When it begins, simulated seconds after the start. */
  at_s: atSchema,
  /** How long it lasts, simulated seconds. */
  for_s: lengthSchema,
  /** Begins again every so many simulated seconds; left out, it comes once. */
  repeat_every_s: lengthSchema.optional(),
};

/** Something that goes wrong on the bench, at a set time. */
export const scriptedFaultSchema = z.discriminatedUnion("fault", [
  /** The extraction fan loses its supply and runs down. */
  z.strictObject({ fault: z.literal("fan-stops"), ...timing }),
  /** A damper is shut: the fan turns, and no air moves. */
  z.strictObject({ fault: z.literal("duct-blocked"), ...timing }),
  /** The coolant pump stands still: no flow, and the laser heats the water that is in the tube. */
  z.strictObject({ fault: z.literal("pump-stops"), ...timing }),
  /** The chiller's compressor stays off and its frost heater stays on, so that the water only warms. */
  z.strictObject({ fault: z.literal("coolant-runs-away"), ...timing }),
  /** The point answers "unplugged" in place of a value. */
  z.strictObject({ fault: z.literal("probe-unplugged"), point: z.enum(BENCH_POINTS), ...timing }),
  /** The point says nothing at all. */
  z.strictObject({ fault: z.literal("sensor-silent"), point: z.enum(BENCH_POINTS), ...timing }),
]);
export type ScriptedFault = z.infer<typeof scriptedFaultSchema>;

/**
 * `demo` cuts jobs of 20 s to 3 min drawn from the seed; `never` leaves the laser off. A schedule of its own holds the
 * laser on for `for_s` every `every_s`, the first time at `first_at_s`; all in simulated seconds.
 */
const cuttingSchema = z.union([
  z.enum(["demo", "never"]),
  z
    .strictObject({
      first_at_s: atSchema.default(5),
      every_s: z.number().min(0.2).max(604_800),
      for_s: lengthSchema,
    })
    .refine((cutting) => cutting.for_s <= cutting.every_s, "for_s no longer than every_s"),
]);
export type Cutting = z.infer<typeof cuttingSchema>;

/** A source of the configuration that is not hardware but a model of the bench. */
export const benchSimulatorEntrySchema = z.strictObject({
  id: idSchema,
  driver: z.literal("bench-simulator"),
  /** The same seed gives the same readings. */
  seed: z.int().min(0).max(4_294_967_295).default(1),
  /** Seconds between readings of each point, by the station's clock. */
  every_s: z.number().min(0.1).max(60).default(1),
  /** Simulated seconds that pass in one second of the station's clock. */
  time_factor: z.number().min(1).max(100).default(1),
  cutting: cuttingSchema.default("demo"),
  faults: z.array(scriptedFaultSchema).max(50, "at most fifty faults").default([]),
  /** Mean of the room over the day. */
  ambient: z
    .strictObject({
      temperature_c: z.number().min(5).max(40).default(20.5),
      humidity_pct: z.number().min(5).max(95).default(45),
    })
    .prefault({}),
});
export type BenchSimulatorEntry = z.infer<typeof benchSimulatorEntrySchema>;
