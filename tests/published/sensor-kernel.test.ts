import { describe, expect, test } from "vitest";
import { crc8Maxim } from "../../station/sources/kernel-one-wire/crc8.js";
import { NOTHING_KNOWN, parseW1Slave } from "../../station/sources/kernel-one-wire/parse.js";
import { planPoints, resolvePoint } from "../../station/sources/kernel-sensor/parse.js";
import { crc16CcittFalse } from "../../station/sources/serial/crc16.js";
import { FAN_PULSES } from "../../station/sources/tachometer/entry.js";
import {
  beginCount,
  countPulse,
  noteLevel,
  readCount,
  unitsPerMinute,
} from "../../station/sources/tachometer/parse.js";
// Every section of this file names its source and how it was obtained.
import published from "./data/sensor-values.json" with { type: "json" };

const bytesOf = (hex: string) => (hex.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16));
const hex = (value: number, digits: number) => value.toString(16).toUpperCase().padStart(digits, "0");
const DIGITS = new TextEncoder().encode("123456789");

describe("checksums", () => {
  // Source: check values of the CRC catalogues; Maxim application note 27 for the ROM (its value from memory).
  const { crc } = published;

  test("CRC-8/MAXIM-DOW", () => {
    expect(hex(crc8Maxim(DIGITS), 2)).toBe(crc.crc8_maxim_123456789);
    expect(hex(crc8Maxim(bytesOf("021CB801000000")), 2)).toBe(crc.crc8_maxim_rom_021CB801000000);
    expect(crc8Maxim(bytesOf("021CB801000000A2"))).toBe(0);
  });

  test("CRC-8/MAXIM-DOW of eight zeros is 0, so nine zeros pass it; of eight FF it is C9, so nine FF do not", () => {
    expect(hex(crc8Maxim(new Uint8Array(8)), 2)).toBe(crc.crc8_maxim_eight_zeros);
    expect(hex(crc8Maxim(new Uint8Array(8).fill(0xff)), 2)).toBe(crc.crc8_maxim_eight_ff);
  });

  test("CRC-16/CCITT-FALSE", () => {
    expect(hex(crc16CcittFalse(DIGITS), 4)).toBe(crc.crc16_ccitt_false_123456789);
  });
});

describe("DS18B20", () => {
  // Source: data sheet of the DS18B20, temperature/data relationship table; the texts around the raw values are made up.
  test.each(published.ds18b20.rows)("$raw_hex is $celsius °C", ({ celsius, text }) => {
    // These texts have byte 6 as it is at power-on, as a clone's may be: what decides on 85 °C is then the reading before.
    const clone = { previousCelsius: celsius, byteSixCounts: false };
    expect(parseW1Slave(text, clone, 10)).toMatchObject({ ok: true, celsius, bits: 12, doubt: null });
  });

  test("85 °C with byte 6 as at power-on is no measurement", () => {
    const row = published.ds18b20.rows.find(({ celsius }) => celsius === 85);
    expect(parseW1Slave(row?.text ?? "", NOTHING_KNOWN, 10)).toMatchObject({
      ok: false,
      fault: "power-on-value",
    });
  });

  // Source: widely quoted example, text from memory; CRC and temperature confirmed by computing.
  test("the text that everybody quotes", () => {
    const { text, celsius, crc } = published.w1_classic;
    expect(hex(crc8Maxim(bytesOf("72014b467fff0e10")), 2)).toBe(crc);
    expect(parseW1Slave(text, NOTHING_KNOWN, 10)).toEqual({
      ok: true,
      celsius,
      bits: 12,
      doubt: null,
      byteSixCounts: true,
    });
  });
});

// Source: Linux kernel, Documentation/ABI/testing/sysfs-class-hwmon and sysfs-bus-iio; read from Debian package linux-doc-6.1.
describe("units of the kernel's files", () => {
  const WORTH: Record<string, { unit: string; of1000: number }> = {
    "millidegree Celsius": { unit: "Cel", of1000: 1 },
    "milli degree Celsius": { unit: "Cel", of1000: 1 },
    "milli percent": { unit: "%RH", of1000: 1 },
    "milli-percent (per cent mille, pcm)": { unit: "%RH", of1000: 1 },
    "revolution/min; where no fanY_pulses attribute exists, 2 pulses per revolution is assumed": {
      unit: "1/min",
      of1000: 1000,
    },
  };

  test.each(published.kernel_abi.entries)("$attr is in $unit", ({ file, attr, unit }) => {
    const name = attr.replace("X", "0").replace("Y", "1");
    const [plan] = planPoints(file.includes("iio") ? "iio" : "hwmon", [name]);
    if (plan === undefined) throw new Error(`${name} is not read`);
    expect(plan.unit).toBe(WORTH[unit]?.unit);
    expect(resolvePoint(plan, new Map([[name, "1000\n"]]))).toEqual({ value: WORTH[unit]?.of1000 });
  });
});

// Source: Intel, 4-Wire PWM Controlled Fans Specification (2 pulses a revolution); rows computed as 60 f / ppr.
describe("speed from pulses", () => {
  test.each(published.fan_tach.rows)("$hz Hz", ({ hz, rpm_ppr1, rpm_ppr2 }) => {
    expect(unitsPerMinute(hz, FAN_PULSES)).toBeCloseTo(rpm_ppr2, 9);
    expect(unitsPerMinute(hz, 1)).toBeCloseTo(rpm_ppr1, 9);
    let count = beginCount(0);
    for (let i = 1; hz > 0 && (i * 1000) / hz <= 2500; i += 1) count = countPulse(count, (i * 1000) / hz);
    count = noteLevel(count, 1, 2500, 2000);
    const read = readCount(count, 2500, {
      windowMs: 2000,
      pulsesPerUnit: FAN_PULSES,
      idleHigh: false,
      reliableHz: 40,
    });
    if (read === null || "fault" in read) throw new Error("it has turned for more than a window");
    expect(read.perMinute).toBeCloseTo(rpm_ppr2, 6);
    expect(read.doubt).toBe(hz > 40 ? "edges-lost" : null);
  });
});
