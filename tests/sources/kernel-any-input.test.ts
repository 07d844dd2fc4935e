import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { REASONS } from "../../station/model/reading.js";
import { crc8Maxim } from "../../station/sources/kernel-one-wire/crc8.js";
import { NOTHING_KNOWN, parseW1Slave } from "../../station/sources/kernel-one-wire/parse.js";
import { filesOf, parseNumber, planPoints, resolvePoint } from "../../station/sources/kernel-sensor/parse.js";

const hex = (byte: number) => byte.toString(16).padStart(2, "0");

/** The text of `w1_slave` for a scratchpad, as the kernel prints it where all is well. */
function w1Text(eight: readonly number[], kernelMilli: number): string {
  const crc = crc8Maxim(eight);
  const bytes = [...eight, crc].map(hex).join(" ");
  return `${bytes} : crc=${hex(crc)} YES\n${bytes} t=${kernelMilli}\n`;
}

describe("1-Wire: every text gives a reading or a reason", () => {
  const history = fc.record({
    previousCelsius: fc.option(fc.double({ min: -55, max: 125, noNaN: true })),
    byteSixCounts: fc.option(fc.boolean()),
  });
  const sane = (text: string, known = NOTHING_KNOWN) => {
    const read = parseW1Slave(text, known, 10);
    if (read.ok) {
      expect(read.celsius).toBeGreaterThanOrEqual(-55);
      expect(read.celsius).toBeLessThanOrEqual(125);
      expect([9, 10, 11, 12]).toContain(read.bits);
    } else {
      expect(REASONS[read.fault].quality).toBe("bad");
      expect(read.detail).not.toBe("");
    }
    return read;
  };

  test("any text at all", () => {
    fc.assert(
      fc.property(
        fc.oneof(fc.string(), fc.string({ unit: "binary" })),
        history,
        (text, known) => void sane(text, known),
      ),
    );
  });

  test("any scratchpad with a right CRC", () => {
    const eight = fc.uint8Array({ minLength: 8, maxLength: 8 }).map((bytes) => [...bytes]);
    fc.assert(
      fc.property(eight, fc.integer({ min: -60_000, max: 130_000 }), history, (bytes, milli, known) => {
        sane(w1Text(bytes, milli), known);
      }),
    );
  });

  test("every temperature of every resolution comes back as its bits say, with the undefined ones masked", () => {
    const raw = fc.integer({ min: -55 * 16, max: 125 * 16 });
    fc.assert(
      fc.property(raw, fc.integer({ min: 9, max: 12 }), (value, bits) => {
        fc.pre(value !== 85 * 16);
        const low = value & 0xff;
        const scratchpad = [
          low,
          (value >> 8) & 0xff,
          0x4b,
          0x46,
          ((bits - 9) << 5) | 0x1f,
          0xff,
          0x10 - (low & 0x0f),
          0x10,
        ];
        const read = sane(w1Text(scratchpad, Math.trunc((value * 1000) / 16)));
        const step = 2 ** (12 - bits);
        const expected = (Math.floor(value / step) * step) / 16;
        if (expected < -55) expect(read).toMatchObject({ ok: false, fault: "out-of-valid-range" });
        else expect(read).toMatchObject({ ok: true, celsius: expected, bits });
      }),
    );
  });

  test("one flipped bit anywhere in the nine bytes is never taken for a reading", () => {
    const good = [0x91, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10, 0x70];
    fc.assert(
      fc.property(fc.nat(8), fc.nat(7), (at, bit) => {
        const bytes = good.map((byte, i) => hex(i === at ? byte ^ (1 << bit) : byte)).join(" ");
        expect(sane(`${bytes} : crc=70 YES\n${bytes} t=25062\n`)).toMatchObject({
          ok: false,
          fault: "crc-failed",
        });
      }),
    );
  });
});

describe("85 °C", () => {
  const text = (byteSix: number) => w1Text([0x50, 0x05, 0x4b, 0x46, 0x7f, 0xff, byteSix, 0x10], 85_000);

  test("byte 6 decides where it is the original's", () => {
    expect(parseW1Slave(text(0x10), NOTHING_KNOWN, 10)).toMatchObject({ ok: true, celsius: 85, doubt: null });
    expect(parseW1Slave(text(0x0c), NOTHING_KNOWN, 10)).toMatchObject({ ok: false, fault: "power-on-value" });
    const near = { previousCelsius: 84.5, byteSixCounts: true };
    expect(parseW1Slave(text(0x0c), near, 10)).toMatchObject({ ok: false, fault: "power-on-value" });
  });

  test("a jump decides where byte 6 tells nothing", () => {
    const clone = (previousCelsius: number | null) => ({ previousCelsius, byteSixCounts: false });
    expect(parseW1Slave(text(0x0c), clone(20), 10)).toMatchObject({ ok: false, fault: "power-on-value" });
    expect(parseW1Slave(text(0x10), clone(20), 10)).toMatchObject({ ok: false, fault: "power-on-value" });
    expect(parseW1Slave(text(0x0c), clone(84), 10)).toMatchObject({ ok: true, celsius: 85, doubt: null });
  });

  test("with nothing to go by it is kept, and doubted", () => {
    expect(parseW1Slave(text(0x07), NOTHING_KNOWN, 10)).toMatchObject({
      ok: true,
      celsius: 85,
      doubt: "sudden-jump",
    });
  });
});

describe("kernel sensor: every text gives a number or a reason", () => {
  const names = fc.subarray([
    "temp1_input",
    "humidity1_input",
    "fan1_input",
    "in_temp_input",
    "in_temp_raw",
    "in_temp_offset",
    "in_temp_scale",
    "in_humidityrelative_raw",
    "in_humidityrelative_scale",
    "in_pressure_input",
  ]);
  const anyText = fc.oneof(fc.string(), fc.integer().map(String), fc.double().map(String));

  test("any text", () => {
    fc.assert(
      fc.property(anyText, (text) => {
        const parsed = parseNumber(text);
        if ("value" in parsed) expect(Number.isFinite(parsed.value)).toBe(true);
        else expect(REASONS[parsed.fault].quality).toBe("bad");
      }),
    );
  });

  test("any set of files with any text in them", () => {
    fc.assert(
      fc.property(
        fc.constantFrom("hwmon", "iio"),
        names,
        fc.array(anyText, { minLength: 3, maxLength: 3 }),
        (subsystem, files, texts) => {
          for (const plan of planPoints(subsystem as "hwmon" | "iio", files)) {
            const held = new Map(filesOf(plan).map((file, i) => [file, texts[i] ?? ""]));
            const parsed = resolvePoint(plan, held);
            if ("value" in parsed) expect(Number.isFinite(parsed.value)).toBe(true);
            else expect(REASONS[parsed.fault].quality).toBe("bad");
          }
        },
      ),
    );
  });
});
