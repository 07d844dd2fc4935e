import { readdir } from "node:fs/promises";
import { join } from "node:path";
import { errnoOf } from "../sources/errno.js";

export interface OneWireFound {
  /** Ids of probes that the driver reads, in order. */
  readonly probes: readonly string[];
  /** Devices of other families, which nothing here reads. */
  readonly others: readonly string[];
}

/** Sorts the folders of the kernel's 1-Wire bus: family 28 is the DS18B20 (its data sheet, from memory). */
export function sortOneWire(names: readonly string[]): OneWireFound {
  const devices = names.filter((name) => /^[0-9a-f]{2}-[0-9a-f]{12}$/.test(name)).sort();
  return {
    probes: devices.filter((name) => name.startsWith("28-")),
    others: devices.filter((name) => !name.startsWith("28-")),
  };
}

/** What is on the 1-Wire buses now; null where the kernel has none. */
export async function findOneWire(sysRoot: string): Promise<OneWireFound | null> {
  try {
    return sortOneWire(await readdir(join(sysRoot, "bus", "w1", "devices")));
  } catch (error) {
    if (errnoOf(error) === "ENOENT") return null;
    throw error;
  }
}
