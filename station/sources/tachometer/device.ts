import type { Clock } from "../../model/instant.js";
import type { Finding, Source } from "../../model/source.js";
import type { GpiodTools } from "../gpio/gpiod-tools.js";
import { checkLine, closeLines, HeldLine } from "../gpio/held-line.js";
import type { SysfsLineFactory } from "../gpio/sysfs.js";
import { createPolledSource, type PointResult } from "../polled-source.js";
import { FAN_PULSES, type TachometerEntry } from "./entry.js";
import { beginCount, countPulse, noteLevel, type PulseCount, readCount, unitsPerMinute } from "./parse.js";

export interface TachometerDeps {
  readonly clock: Clock;
  readonly sysRoot: string;
  readonly gpio?: SysfsLineFactory;
  readonly tools?: GpiodTools;
  /** How long one look at the line may take; default 2 s. */
  readonly limitMs?: number;
}

/** A fan or flow sensor that gives pulses; one point, `speed` in 1/min or `flow` in L/min. */
export function createTachometer(entry: TachometerEntry, deps: TachometerDeps): Source {
  const { clock, sysRoot, gpio, tools, limitMs = 2000 } = deps;
  const point = entry.measures;
  const unit = point === "speed" ? "1/min" : "l/min";
  const settings = {
    windowMs: entry.window_s * 1000,
    pulsesPerUnit: entry.pulses_per_unit ?? FAN_PULSES,
    idleHigh: entry.idle_high,
  };
  const boundary = { sysRoot, gpio, tools, mono: () => clock.now().mono };
  let count: PulseCount | null = null;

  const { chip, bias } = entry;
  const pulses = new HeldLine({ chip, line: entry.line, bias }, boundary, "in", "rising", (_, mono) => {
    if (count !== null) count = countPulse(count, mono ?? clock.now().mono);
  });
  const plug =
    entry.wire_test === undefined
      ? null
      : new HeldLine({ chip, line: entry.wire_test, bias }, boundary, "in", "none");

  const look = async (): Promise<PointResult | null> => {
    const told = await pulses.read();
    if (!("level" in told)) {
      count = null;
      return { point, fault: told.reason, detail: told.detail };
    }
    const at = clock.now().mono;
    count = noteLevel(count ?? beginCount(at), told.level, at, settings.windowMs);
    const inPlug = plug === null ? null : await plug.read();
    if (inPlug !== null && !("level" in inPlug)) {
      return { point, fault: inPlug.reason, detail: `wire test: ${inPlug.detail}` };
    }
    if (inPlug !== null && inPlug.level === 1) {
      return { point, fault: "wire-missing", detail: "the wire test is open: the sensor's plug is off" };
    }
    const read = readCount(count, at, { ...settings, reliableHz: pulses.reliableHz });
    if (read === null) return null;
    if ("fault" in read) return { point, ...read };
    const result = { point, value: read.perMinute, unit } as const;
    return read.doubt === null ? result : { ...result, doubt: read.doubt };
  };

  return createPolledSource({
    id: entry.id,
    driver: entry.driver,
    clock,
    everyMs: entry.every_s * 1000,
    limitMs,
    round: async () => {
      const result = await look();
      return result === null ? [] : [result];
    },
    points: () => [point],
    end: () => {
      count = null;
      closeLines(plug === null ? [pulses] : [pulses, plug]);
    },
    check: async () => checkTachometer(entry, pulses, plug, settings.pulsesPerUnit, unit),
  });
}

async function checkTachometer(
  entry: TachometerEntry,
  pulses: HeldLine,
  plug: HeldLine | null,
  pulsesPerUnit: number,
  unit: string,
): Promise<readonly Finding[]> {
  const subject = `${entry.id} (tachometer, line ${entry.line})`;
  const first = await checkLine(subject, pulses, (level) => {
    const most = Math.floor(unitsPerMinute(pulses.reliableHz, pulsesPerUnit));
    return (
      `the level is ${level === 1 ? "high" : "low"}. Up to ${most} ${unit} is counted here; a faster one loses pulses and ` +
      "is marked as doubtful: count it in a microcontroller (driver serial) or by the kernel (driver kernel-sensor)"
    );
  });
  if (plug === null) return [first];
  const test = await checkLine(`${subject}, wire test on line ${entry.wire_test}`, plug, (level) =>
    level === 0 ? "the plug is in" : "the plug is off",
  );
  return [first, test];
}
