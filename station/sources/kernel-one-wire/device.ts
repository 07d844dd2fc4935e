import { access, readdir } from "node:fs/promises";
import { join } from "node:path";
import type { Clock } from "../../model/instant.js";
import type { Finding, Source } from "../../model/source.js";
import { errnoOf, reasonOfErrno, textOf } from "../errno.js";
import { createPolledSource, type PointResult } from "../polled-source.js";
import { type ReadText, readSysText } from "../sys-text.js";
import type { KernelOneWireEntry } from "./entry.js";
import { NOTHING_KNOWN, type ProbeHistory, parseW1Slave } from "./parse.js";
import { oneWireQueue } from "./queue.js";

export interface KernelOneWireDeps {
  readonly clock: Clock;
  readonly sysRoot: string;
  readonly readText?: ReadText;
  /** How long a read may take once its turn has come; default 5 s. A conversion takes 0.75 s, and the kernel tries three times. */
  readonly limitMs?: number;
}

const POINT = "temperature";
/** A reading older than this says nothing about how far the temperature can have moved since. */
const COMPARABLE_MS = 60_000;

/** A DS18B20 through the kernel's w1_therm driver; one point, `temperature`, in °C. */
export function createKernelOneWire(entry: KernelOneWireEntry, deps: KernelOneWireDeps): Source {
  const { clock, sysRoot, readText = readSysText, limitMs = 5000 } = deps;
  const devices = join(sysRoot, "bus", "w1", "devices");
  const file = join(devices, entry.device, "w1_slave");
  const queue = oneWireQueue(sysRoot);
  const readProbe = () => queue.read(entry.device, () => readText(file), limitMs);
  let history: ProbeHistory = NOTHING_KNOWN;
  let previousMono = Number.NEGATIVE_INFINITY;

  const look = async (): Promise<PointResult> => {
    let text: string;
    try {
      text = await readProbe();
    } catch (error) {
      // A probe that comes back may be another one, plugged in under the same converter: nothing is known about it.
      if (errnoOf(error) === "ENOENT") history = NOTHING_KNOWN;
      return { point: POINT, fault: reasonOfErrno(error), detail: textOf(error) };
    }
    const now = clock.now();
    const recent = now.mono - previousMono <= COMPARABLE_MS;
    const known = recent ? history : { ...history, previousCelsius: null };
    const read = parseW1Slave(text, known, entry.max_jump_c);
    if (!read.ok) return { point: POINT, fault: read.fault, detail: read.detail };
    // A doubted value must not become what the next one is compared with: a probe stuck at power-on would vouch for itself.
    if (read.doubt === null) {
      history = { previousCelsius: read.celsius, byteSixCounts: read.byteSixCounts };
      previousMono = now.mono;
    }
    const result = { point: POINT, value: read.celsius, unit: "Cel" as const };
    return read.doubt === null ? result : { ...result, doubt: read.doubt };
  };

  return createPolledSource({
    id: entry.id,
    driver: entry.driver,
    clock,
    everyMs: entry.every_s * 1000,
    // The queue sets the limit: to wait for the other probes is not to be silent.
    limitMs: null,
    round: async () => [await look()],
    halt: () => queue.withdraw(entry.device),
    points: () => [POINT],
    check: async () => [await checkProbe(entry, devices, file, readProbe)],
  });
}

async function checkProbe(
  entry: KernelOneWireEntry,
  devices: string,
  file: string,
  readProbe: () => Promise<string>,
): Promise<Finding> {
  const subject = `${entry.id} (1-Wire probe ${entry.device})`;
  const finding = (ok: boolean, found: string, mend = ""): Finding => ({ subject, ok, found, mend });
  let names: string[];
  try {
    names = await readdir(devices);
  } catch (error) {
    if (errnoOf(error) === "EACCES") {
      return finding(false, `${devices} may not be read`, "run the station as a user who may read /sys");
    }
    return finding(
      false,
      "the kernel has no 1-Wire bus",
      "add dtoverlay=w1-gpio to /boot/firmware/config.txt and restart the Pi; the data wire goes to GPIO 4 unless gpiopin= says otherwise",
    );
  }
  if (!names.includes(entry.device)) {
    const others = names.filter((name) => /^[0-9a-f]{2}-[0-9a-f]{12}$/.test(name)).sort();
    return finding(
      false,
      others.length === 0
        ? "no probe at all is on the bus"
        : `not on the bus; there are ${others.join(", ")}`,
      others.length === 0
        ? "check the three wires and the 4.7 kΩ pull-up from the data wire to 3.3 V"
        : "put one of these ids into station.yaml as device, or check this probe's plug",
    );
  }
  try {
    await access(file);
    const read = parseW1Slave(await readProbe(), NOTHING_KNOWN, entry.max_jump_c);
    if (read.ok) return finding(true, `reads ${read.celsius} °C at ${read.bits} bits`);
    return finding(false, read.detail, "check the plug, the cable's length and the 4.7 kΩ pull-up");
  } catch (error) {
    const mend =
      errnoOf(error) === "EACCES"
        ? "let the station's user read it: add the user to the group gpio, or mend the udev rule"
        : "modprobe w1_therm, and check the plug";
    return finding(false, textOf(error), mend);
  }
}
