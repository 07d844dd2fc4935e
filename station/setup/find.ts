import type { FoundChip, FoundPoint, NothingFound } from "../model/setup.js";
import type { DriverEntry } from "../sources/drivers.js";
import type { GpiodTools } from "../sources/gpio/gpiod-tools.js";
import type { Bias } from "../sources/gpio/line.js";
import {
  type Connected,
  connectedBoards,
  connectedLines,
  connectedProbes,
  connectedSensors,
  type WantedLine,
} from "./connected.js";
import { type ListedChip, listGpio, sortChips } from "./find-gpio.js";
import { listKernel, sortKernel } from "./find-kernel.js";
import { findOneWire } from "./find-one-wire.js";
import { deviceOf, findSerial } from "./find-serial.js";

export interface FindParts {
  readonly sysRoot: string;
  readonly byIdFolder: string;
  readonly tools: GpiodTools;
  /** The chips as they were found before; looked for anew where left out, which may begin a process or two. */
  readonly listed?: readonly ListedChip[] | undefined;
  /** Lines that somebody wants to see. */
  readonly lines: readonly WantedLine[];
  readonly bias: Bias | null;
  /** Entries of configurations, whose lines are there too. */
  readonly named: readonly DriverEntry[];
  /** Points that a board has sent, by its path. */
  readonly heard: (path: string) => readonly FoundPoint[];
}

export interface Findings {
  readonly connected: readonly Connected[];
  readonly listed: readonly ListedChip[];
  readonly chips: readonly FoundChip[];
  readonly nothing: readonly NothingFound[];
  readonly leftOut: readonly string[];
}

/** Everything that is connected now. Nothing is opened but files that list it. */
export async function findConnected(parts: FindParts): Promise<Findings> {
  const { sysRoot, named } = parts;
  const [oneWire, devices, serial, listed] = await Promise.all([
    findOneWire(sysRoot),
    listKernel(sysRoot),
    findSerial(parts.byIdFolder),
    parts.listed ?? listGpio(sysRoot, parts.tools),
  ]);
  const paths = named.flatMap((entry) => (entry.driver === "serial" ? [entry.path] : []));
  const leads = new Map(await Promise.all(paths.map(async (path) => [path, await deviceOf(path)] as const)));
  // A board that is named by another path than its stable one is connected too.
  const stable = new Set(serial.flatMap(({ path, device }) => [path, device ?? path]));
  const others = [...leads].flatMap(([path, device]) =>
    device === null || stable.has(path) || stable.has(device) ? [] : [{ path, device }],
  );
  const { sensors, leftOut } = sortKernel(devices);
  const chips = sortChips(listed);
  const untold = sensors
    .filter(({ told }) => !told)
    .map(({ name }) => `${name}: several, with no address to tell them apart`);
  const foreign = (oneWire?.others ?? []).map(
    (id) => `1-Wire ${id}: no DS18B20, so nothing of it is read here`,
  );
  const connected = [
    ...connectedProbes(oneWire ?? { probes: [], others: [] }),
    ...connectedSensors(sensors),
    ...connectedBoards([...serial, ...others], (path) => leads.get(path) ?? null, parts.heard),
    ...connectedLines(chips, listed, parts.lines, parts.bias, named),
  ];
  const nothing = nothingFound({
    ...{ bus: oneWire !== null, probes: oneWire?.probes.length ?? 0 },
    ...{ sensors: sensors.length, boards: serial.length + others.length, chips: chips.length },
  });
  return { connected, listed, chips, nothing, leftOut: [...leftOut, ...new Set(untold), ...foreign] };
}

interface Counts {
  readonly bus: boolean;
  readonly probes: number;
  readonly sensors: number;
  readonly boards: number;
  readonly chips: number;
}

/** What there is none of, and what to do where there should be. */
function nothingFound({ bus, probes, sensors, boards, chips }: Counts): readonly NothingFound[] {
  const none = (is: boolean, what: string, mend: string) => (is ? [{ what, mend }] : []);
  return [
    ...none(
      !bus,
      "No 1-Wire bus",
      "Add dtoverlay=w1-gpio to /boot/firmware/config.txt and restart the Pi; the data wire goes to GPIO 4.",
    ),
    ...none(
      bus && probes === 0,
      "No probe on the 1-Wire bus",
      "Check the three wires, and the 4.7 kΩ resistor from the data wire to 3.3 V.",
    ),
    ...none(
      sensors === 0,
      "No humidity sensor",
      "Add its overlay to /boot/firmware/config.txt (dtoverlay=i2c-sensor,… or dtoverlay=dht11,gpiopin=…) and restart the Pi.",
    ),
    ...none(boards === 0, "No serial board", "Plug it into a USB socket of the Pi."),
    ...none(
      chips === 0,
      "No GPIO line",
      "sudo apt install gpiod, and check that the station's user is in the group gpio.",
    ),
  ];
}
