import { readdir, realpath } from "node:fs/promises";
import { join } from "node:path";
import { errnoOf } from "../errno.js";
import type { ReadText } from "../sys-text.js";
import type { KernelSensorEntry } from "./entry.js";

/** One device that the kernel shows in the subsystem. */
export interface Candidate {
  readonly folder: string;
  readonly name: string;
  /** Where the folder really is: the path has the bus and the address in it. */
  readonly path: string;
}

export type Located =
  | { readonly folder: string; readonly files: readonly string[] }
  | { readonly folder: null; readonly detail: string };

/** Every device of the subsystem. hwmonN and iio:deviceN follow the order of binding, so only `name` and `path` mean anything. */
export async function listCandidates(
  subsystem: KernelSensorEntry["subsystem"],
  sysRoot: string,
  readText: ReadText,
): Promise<readonly Candidate[]> {
  const top =
    subsystem === "hwmon" ? join(sysRoot, "class", "hwmon") : join(sysRoot, "bus", "iio", "devices");
  let entries: string[];
  try {
    entries = await readdir(top);
  } catch (error) {
    if (errnoOf(error) === "ENOENT") return [];
    throw error;
  }
  const found: Candidate[] = [];
  for (const entry of entries.sort()) {
    const folder = join(top, entry);
    try {
      const name = (await readText(join(folder, "name"))).trim();
      found.push({ folder, name, path: await realpath(folder) });
    } catch {
      // Gone between the listing and the reading, or a device without a name: not the one looked for.
    }
  }
  return found;
}

/** The one device that the entry means, or why it cannot be told. */
export async function locate(
  entry: KernelSensorEntry,
  sysRoot: string,
  readText: ReadText,
): Promise<Located> {
  const candidates = await listCandidates(entry.subsystem, sysRoot, readText);
  const { address } = entry;
  const fitting = candidates.filter(
    ({ name, path }) => name === entry.name && (address === undefined || path.includes(address)),
  );
  const [only, second] = fitting;
  if (only === undefined) {
    const where = address === undefined ? "" : ` at ${address}`;
    const names = candidates.map(({ name }) => name).join(", ");
    return {
      folder: null,
      detail: `no ${entry.name}${where}; the kernel has ${names === "" ? "none" : names}`,
    };
  }
  if (second !== undefined) {
    const paths = fitting.map(({ path }) => path).join(", ");
    return {
      folder: null,
      detail: `several are called ${entry.name}: say which by address. They are ${paths}`,
    };
  }
  return { folder: only.folder, files: await readdir(only.folder) };
}
