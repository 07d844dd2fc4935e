import type { FoundChip, FoundPoint, FoundThing } from "../model/setup.js";
import type { DriverEntry } from "../sources/drivers.js";
import type { Bias } from "../sources/gpio/line.js";
import { pickChip } from "../sources/gpio/pick-line.js";
import type { ListedChip } from "./find-gpio.js";
import type { KernelFound } from "./find-kernel.js";
import type { OneWireFound } from "./find-one-wire.js";
import { boardTitle, type SerialFound } from "./find-serial.js";

/** A source's entry in station.yaml without its id, as it would be written. */
export type BareEntry = Readonly<Record<string, string | number | boolean>> & {
  readonly driver: DriverEntry["driver"];
};

/** One thing that is connected, how it is read, and which entry of a configuration means it. */
export interface Connected {
  readonly thing: Omit<FoundThing, "roles" | "held" | "activeLow">;
  readonly entry: BareEntry;
  means(entry: DriverEntry): boolean;
}

const TEMPERATURE: readonly FoundPoint[] = [{ point: "temperature", unit: "Cel" }];

export function connectedProbes({ probes }: OneWireFound): readonly Connected[] {
  return probes.map((device) => ({
    thing: {
      key: `probe:${device}`,
      sort: "probe",
      title: `Probe ${device}`,
      place: "1-Wire",
      points: TEMPERATURE,
    },
    // A conversion takes most of a second, and one goes after the other: two seconds leave room for a few.
    entry: { driver: "kernel-1-wire", device, every_s: 2 },
    means: (entry) => entry.driver === "kernel-1-wire" && entry.device === device,
  }));
}

export function connectedSensors(found: readonly KernelFound[]): readonly Connected[] {
  return found
    .filter(({ told }) => told)
    .map(({ subsystem, name, path, address, points }) => ({
      thing: {
        key: `sensor:${subsystem}:${name}${address === null ? "" : `:${address}`}`,
        sort: "sensor",
        title: `Sensor ${name}`,
        place: address ?? "",
        points,
      },
      entry: {
        driver: "kernel-sensor",
        subsystem,
        name,
        ...(address === null ? {} : { address }),
        every_s: 2,
      },
      means: (entry) =>
        entry.driver === "kernel-sensor" &&
        entry.subsystem === subsystem &&
        entry.name === name &&
        (entry.address === undefined ? address === null : path.includes(entry.address)),
    }));
}

/**
 * @param deviceOf where a path of the configuration leads now
 * @param heard points that boards have sent, by path
 */
export function connectedBoards(
  found: readonly SerialFound[],
  deviceOf: (path: string) => string | null,
  heard: (path: string) => readonly FoundPoint[],
): readonly Connected[] {
  return found.map(({ path, device }) => ({
    thing: {
      key: `board:${path}`,
      sort: "board",
      title: boardTitle(path),
      place: device ?? "unplugged",
      points: heard(path),
    },
    entry: { driver: "serial", path },
    means: (entry) =>
      entry.driver === "serial" &&
      (entry.path === path || (device !== null && deviceOf(entry.path) === device)),
  }));
}

export interface WantedLine {
  readonly chip: string;
  readonly line: number;
}

const STATE: readonly FoundPoint[] = [{ point: "state", unit: "state" }];

/** The lines that somebody wants to see, and those that a configuration names. */
export function connectedLines(
  chips: readonly FoundChip[],
  listed: readonly ListedChip[],
  wanted: readonly WantedLine[],
  bias: Bias | null,
  named: readonly DriverEntry[],
): readonly Connected[] {
  const means = ({ chip, line }: WantedLine, entry: DriverEntry): boolean => {
    if (entry.driver !== "digital-input" && entry.driver !== "tachometer") return false;
    if (typeof entry.line === "string") {
      const known = chips.find(({ label }) => label === chip)?.lines.find((each) => each.line === line);
      return known?.name === entry.line;
    }
    if (entry.line !== line) return false;
    const picked = pickChip(listed, { chip: entry.chip, line }, NO_CHIP);
    return picked.ok && picked.chip.label === chip;
  };
  return chips.flatMap(({ label, lines }) =>
    lines.flatMap(({ line, name, caution }): Connected[] => {
      const here = { chip: label, line };
      const meant = named.some((entry) => means(here, entry));
      const asked = wanted.some((each) => each.chip === label && each.line === line);
      if (!meant && !asked) return [];
      const byDefault = pickChip(listed, { line }, NO_CHIP);
      const own = byDefault.ok && byDefault.chip.label === label;
      return [
        {
          thing: {
            key: `line:${label}:${line}`,
            sort: "line",
            title: `GPIO ${line}${name === null || name === `GPIO${line}` ? "" : ` (${name})`}`,
            place: caution === null ? label : `${label}; ${caution}`,
            points: STATE,
          },
          entry: {
            driver: "digital-input",
            ...(own ? {} : { chip: label }),
            line,
            ...(bias === null ? {} : { bias }),
            every_s: 1,
          },
          means: (entry) => means(here, entry),
        },
      ];
    }),
  );
}

const NO_CHIP = { detail: "", mend: "" };
