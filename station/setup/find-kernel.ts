import { readdir } from "node:fs/promises";
import type { FoundPoint } from "../model/setup.js";
import type { KernelSensorEntry } from "../sources/kernel-sensor/entry.js";
import { type Candidate, listCandidates } from "../sources/kernel-sensor/locate.js";
import { planPoints } from "../sources/kernel-sensor/parse.js";
import { readSysText } from "../sources/sys-text.js";

type Subsystem = KernelSensorEntry["subsystem"];

/** A device of the kernel with the names of its files. */
export interface ListedDevice extends Candidate {
  readonly subsystem: Subsystem;
  readonly files: readonly string[];
}

export interface KernelFound {
  readonly subsystem: Subsystem;
  readonly name: string;
  /** Where its folder really is. */
  readonly path: string;
  /** What tells it from others of its name; null where its name is its own, or nothing tells them apart. */
  readonly address: string | null;
  /** False: several have its name, and no address tells which is which. */
  readonly told: boolean;
  readonly points: readonly FoundPoint[];
}

/**
 * Sensors of the computer itself, by the names of their drivers (Linux, drivers/hwmon and drivers/thermal; from memory), and
 * w1_slave_temp, by which hwmon shows a 1-Wire probe once more.
 */
const NOT_OFFERED: Readonly<Record<string, string>> = {
  w1_slave_temp: "",
  cpu_thermal: "the processor's own temperature",
  rp1_adc: "the Pi's own converter",
  rpi_volt: "the Pi's own supply",
  nvme: "the disk's own temperature",
  drivetemp: "the disk's own temperature",
  coretemp: "the processor's own temperature",
  k10temp: "the processor's own temperature",
  acpitz: "the computer's own temperature",
};

/** What of the kernel's devices can be read here, and in words what is not offered. */
export function sortKernel(devices: readonly ListedDevice[]): {
  readonly sensors: readonly KernelFound[];
  readonly leftOut: readonly string[];
} {
  const foreign = devices.filter(({ name }) => !Object.hasOwn(NOT_OFFERED, name));
  const withPoints = foreign.flatMap((device) => {
    const points = planPoints(device.subsystem, device.files).map(({ point, unit }) => ({ point, unit }));
    return points.length === 0 ? [] : [{ device, points }];
  });
  const sensors = withPoints.map(({ device, points }): KernelFound => {
    const { subsystem, name, path } = device;
    const same = foreign.filter((each) => each.subsystem === subsystem && each.name === name);
    const address = same.length === 1 ? null : tellingAddress(device, same);
    return { subsystem, name, path, address, told: same.length === 1 || address !== null, points };
  });
  const own = devices.flatMap(({ name }) => {
    const words = NOT_OFFERED[name] ?? "";
    return words === "" ? [] : [`${name}: ${words}`];
  });
  const useless = foreign
    .filter((device) => !withPoints.some((each) => each.device === device))
    .map(({ name }) => `${name}: nothing of it is read here`);
  return { sensors, leftOut: [...new Set([...own, ...useless])] };
}

/** What an entry of station.yaml takes as an address. */
const ADDRESS = /^[\w.:@-]{1,60}$/;

/**
 * The part of a device's path that no other of its name has in its own: its address on the bus ("1-0045") where there is one,
 * else the nearest folder above it that will do.
 */
function tellingAddress(device: Candidate, same: readonly Candidate[]): string | null {
  const others = same.filter((each) => each.path !== device.path);
  const parts = device.path.split("/").filter((part) => ADDRESS.test(part));
  // hwmon3 and iio:device0 are numbered as they come, and tell nothing after a restart.
  const lasting = parts.filter((part) => !/^(hwmon\d*|iio:device\d+)$/.test(part)).reverse();
  const telling = lasting.filter((part) => others.every(({ path }) => !path.includes(part)));
  return telling.find((part) => /^\d+-[0-9a-f]{4}$/.test(part)) ?? telling[0] ?? null;
}

/** Every device of hwmon and IIO that the kernel shows now. */
export async function listKernel(sysRoot: string): Promise<readonly ListedDevice[]> {
  const listed: ListedDevice[] = [];
  for (const subsystem of ["hwmon", "iio"] as const) {
    for (const candidate of await listCandidates(subsystem, sysRoot, readSysText)) {
      // Gone between the listing and the look: not there.
      const files = await readdir(candidate.folder).catch((): string[] => []);
      listed.push({ ...candidate, subsystem, files });
    }
  }
  return listed;
}
