import { z } from "zod";
import type { Clock } from "../model/instant.js";
import type { Source } from "../model/source.js";
import { TICK_MS as BENCH_TICK_MS, createBenchSimulator } from "./bench-simulator/device.js";
import { benchSimulatorEntrySchema } from "./bench-simulator/entry.js";
import { BENCH_POINTS } from "./bench-simulator/points.js";
import { createDigitalInput } from "./digital-input/device.js";
import { digitalInputEntrySchema } from "./digital-input/entry.js";
import type { GpiodTools } from "./gpio/gpiod-tools.js";
import type { SysfsLineFactory } from "./gpio/sysfs.js";
import { createKernelOneWire } from "./kernel-one-wire/device.js";
import { kernelOneWireEntrySchema } from "./kernel-one-wire/entry.js";
import { createKernelSensor } from "./kernel-sensor/device.js";
import { KERNEL_POINTS, kernelSensorEntrySchema } from "./kernel-sensor/entry.js";
import { createSerial } from "./serial/device.js";
import { serialEntrySchema } from "./serial/entry.js";
import { createTachometer } from "./tachometer/device.js";
import { tachometerEntrySchema } from "./tachometer/entry.js";

/** An entry of `sources` in station.yaml; `driver` says which. */
export const driverEntrySchema = z.discriminatedUnion("driver", [
  kernelOneWireEntrySchema,
  kernelSensorEntrySchema,
  serialEntrySchema,
  digitalInputEntrySchema,
  tachometerEntrySchema,
  benchSimulatorEntrySchema,
]);
export type DriverEntry = z.infer<typeof driverEntrySchema>;

/** The points that a source with this entry reports; null where only the device itself knows. */
export function pointsOf(entry: DriverEntry): readonly string[] | null {
  switch (entry.driver) {
    case "kernel-1-wire":
      return ["temperature"];
    case "kernel-sensor":
      return entry.points ?? KERNEL_POINTS;
    case "serial":
      return null;
    case "digital-input":
      return [entry.point];
    case "tachometer":
      return [entry.measures];
    case "bench-simulator":
      return BENCH_POINTS;
  }
}

/**
 * Seconds from one reading to the next of a source with this entry, as long as all is well; null where only the device
 * itself knows. More than two or three 1-Wire probes may not keep it: one is read after the other, each in 0.75 s or more.
 */
export function everyOf(entry: DriverEntry): number | null {
  return entry.driver === "serial" ? null : entry.every_s;
}

/**
 * Longest that a source with this entry keeps a reading back before it hands it over, dated to when it was so: milliseconds, on a
 * loop that is not held up. Those that are dated as they are handed over are never late.
 */
export function latenessOf(entry: DriverEntry): number {
  switch (entry.driver) {
    case "digital-input":
      return entry.debounce_ms;
    case "bench-simulator":
      return BENCH_TICK_MS;
    case "kernel-1-wire":
    case "kernel-sensor":
    case "serial":
    case "tachometer":
      return 0;
  }
}

export interface SourceDeps {
  readonly clock: Clock;
  /** The root of the kernel's attribute files: "/sys", or a folder that stands for it. */
  readonly sysRoot: string;
  /** How GPIO lines in sysfs are had; through `onoff` where not given. */
  readonly gpio?: SysfsLineFactory;
  /** The tools for GPIO lines as character devices; those that are installed where not given. */
  readonly tools?: GpiodTools;
}

/** The source for an entry. Nothing is opened before it is started. */
export function createSource(entry: DriverEntry, deps: SourceDeps): Source {
  switch (entry.driver) {
    case "kernel-1-wire":
      return createKernelOneWire(entry, deps);
    case "kernel-sensor":
      return createKernelSensor(entry, deps);
    case "serial":
      return createSerial(entry, deps);
    case "digital-input":
      return createDigitalInput(entry, deps);
    case "tachometer":
      return createTachometer(entry, deps);
    case "bench-simulator":
      return createBenchSimulator(entry, deps);
  }
}
