import type { Reason } from "../../model/reading.js";
import { crc8Maxim } from "./crc8.js";

/** What earlier readings of the same probe have shown; starts as `NOTHING_KNOWN`. */
export interface ProbeHistory {
  /** The last value that was beyond doubt and is recent enough to compare with, °C. */
  readonly previousCelsius: number | null;
  /** Whether byte 6 of this probe counts down with the temperature, as the original's does; null until seen. */
  readonly byteSixCounts: boolean | null;
}

export const NOTHING_KNOWN: ProbeHistory = { previousCelsius: null, byteSixCounts: null };

export type ProbeReading =
  | {
      readonly ok: true;
      readonly celsius: number;
      /** Bits of the conversion, from the configuration register: 9 to 12. */
      readonly bits: number;
      readonly doubt: Reason | null;
      readonly byteSixCounts: boolean | null;
    }
  | { readonly ok: false; readonly fault: Reason; readonly detail: string };

const DATA_LINE = /^((?:[0-9a-f]{2} ){9}): crc=([0-9a-f]{2}) (YES|NO)$/;
const VALUE_LINE = /^((?:[0-9a-f]{2} ){9})t=(-?\d{1,7})$/;

/** +85 °C, which stands in the scratchpad from power-on until the first conversion. */
const POWER_ON_RAW = 0x0550;
const POWER_ON_BYTE_SIX = 0x0c;

const bad = (fault: Reason, detail: string): ProbeReading => ({ ok: false, fault, detail });

/**
 * Reads the two lines of `w1_slave` of a DS18B20 (Linux, Documentation/w1/slaves/w1_therm.rst).
 *
 * The value is decoded from the scratchpad (signed 16 bit, 1/16 °C, data sheet of the DS18B20, table 1) and only compared
 * with the kernel's `t=`. A temperature outside −55…+125 °C is refused.
 *
 * Whether a scratchpad of 85 °C is a measurement: byte 6 is 0x0C at power-on, and 0x10 less the low four bits of the
 * temperature after a conversion, so a true 85.0 has 0x10 (from memory, as observed on originals by others; the data sheet
 * calls the byte reserved). Where the probe's byte 6 does not follow that, only a jump from the last reading of more than
 * `maxJump` °C decides; with nothing to compare with, the value is kept and doubted.
 */
export function parseW1Slave(text: string, history: ProbeHistory, maxJump: number): ProbeReading {
  // What the driver leaves when the reading failed, on kernels that no longer say NO.
  if (text.trim() === "")
    return bad("empty", "the kernel's file was empty: the probe did not answer, or its CRC was wrong");
  const lines = text.split("\n");
  const first = DATA_LINE.exec(lines[0] ?? "");
  if (first === null) return bad("garbled", "the first line is not nine bytes with a CRC");
  // The second line then repeats an older conversion, with a good-looking t=.
  if (first[3] === "NO") return bad("crc-failed", "the kernel says that the CRC was wrong");
  const bytes = bytesOf(first[1] ?? "");
  if (crc8Maxim(bytes) !== 0) return bad("crc-failed", "the CRC over the nine bytes is wrong");
  if (bytes.every((byte) => byte === 0)) {
    return bad("all-zeros", "nine zero bytes, whose CRC is valid: the data line is held low");
  }
  const second = VALUE_LINE.exec(lines[1] ?? "");
  if (second === null || second[1] !== first[1])
    return bad("garbled", "the second line does not belong to the first");
  return decode(bytes, Number(second[2]), history, maxJump);
}

function bytesOf(hex: string): number[] {
  return hex
    .trim()
    .split(" ")
    .map((pair) => Number.parseInt(pair, 16));
}

function decode(
  bytes: readonly number[],
  kernelMilli: number,
  history: ProbeHistory,
  maxJump: number,
): ProbeReading {
  const [low = 0, high = 0, , , configuration = 0, , byteSix = 0] = bytes;
  // Bit 7 is always 0 on a DS18B20; where it is set, the value has more bits than are understood here.
  if (configuration & 0x80) return bad("garbled", "its configuration register is not that of a DS18B20");
  const bits = 9 + ((configuration >> 5) & 3);
  const asSent = (((high << 8) | low) << 16) >> 16;
  const raw = asSent & ~((1 << (12 - bits)) - 1);
  // The kernel converts the bits as sent and truncates to a whole millidegree.
  if (Math.abs(asSent * 62.5 - kernelMilli) > 1 && Math.abs(raw * 62.5 - kernelMilli) > 1) {
    return bad("garbled", "the kernel's t= does not agree with the bytes");
  }
  const celsius = raw / 16;
  if (celsius < -55 || celsius > 125)
    return bad("out-of-valid-range", `${celsius} °C is beyond what the probe can measure`);
  if (asSent !== POWER_ON_RAW) {
    const counts = byteSix === 0x10 - (low & 0x0f);
    // One that fits may be chance on a clone, one that does not fit never happens on an original.
    const byteSixCounts = counts ? (history.byteSixCounts ?? true) : false;
    return { ok: true, celsius, bits, doubt: null, byteSixCounts };
  }
  return judgeEightyFive(byteSix, celsius, bits, history, maxJump);
}

function judgeEightyFive(
  byteSix: number,
  celsius: number,
  bits: number,
  { previousCelsius, byteSixCounts }: ProbeHistory,
  maxJump: number,
): ProbeReading {
  if (byteSixCounts !== false) {
    if (byteSix === POWER_ON_BYTE_SIX) return bad("power-on-value", "85 °C with byte 6 as it is at power-on");
    if (byteSix === 0x10) return { ok: true, celsius, bits, doubt: null, byteSixCounts };
  }
  if (previousCelsius === null) return { ok: true, celsius, bits, doubt: "sudden-jump", byteSixCounts };
  if (Math.abs(celsius - previousCelsius) > maxJump) {
    return bad("power-on-value", `85 °C straight after ${previousCelsius} °C`);
  }
  return { ok: true, celsius, bits, doubt: null, byteSixCounts };
}
