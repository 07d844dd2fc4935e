import { crc16CcittFalse } from "./crc16.js";

/** Bytes of a line, without its line feed. */
export const MAX_LINE_BYTES = 4096;

const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;
const STAR = 0x2a;
/** The star and its four hexadecimal digits. */
const TAIL_BYTES = 5;

/** Cuts a stream of bytes into lines. It holds at most `MAX_LINE_BYTES`, whatever comes in. */
export class LineSplitter {
  readonly #held = new Uint8Array(MAX_LINE_BYTES);
  #length = 0;
  /** Set while the rest of a line that was too long is thrown away. */
  #skipping = false;

  /** The lines that these bytes complete, in order; an overlong one shows as null where its line feed comes. */
  push(bytes: Uint8Array): (Uint8Array | null)[] {
    const lines: (Uint8Array | null)[] = [];
    for (const byte of bytes) {
      if (byte === LINE_FEED) {
        lines.push(this.#skipping ? null : this.#held.slice(0, this.#length));
        this.reset();
      } else if (this.#length === MAX_LINE_BYTES) {
        this.#skipping = true;
      } else {
        this.#held[this.#length] = byte;
        this.#length += 1;
      }
    }
    return lines;
  }

  /** Forgets a half-received line, as after a port was opened anew. */
  reset(): void {
    this.#length = 0;
    this.#skipping = false;
  }

  get heldBytes(): number {
    return this.#length;
  }
}

export type Frame =
  | { readonly ok: true; readonly text: string }
  | { readonly ok: false; readonly why: "torn" | "wrong-crc" | "unparsable" };

/**
 * Takes a line apart into its text and its CRC: `text*hhhh`, four hexadecimal digits of either case, over the bytes before
 * the last star. A carriage return before the line feed is allowed. `torn`: no such tail. `unparsable`: not UTF-8.
 */
export function openFrame(line: Uint8Array): Frame {
  const end = line.at(-1) === CARRIAGE_RETURN ? line.length - 1 : line.length;
  const star = end - TAIL_BYTES;
  if (star < 0 || line[star] !== STAR) return { ok: false, why: "torn" };
  const digits = String.fromCharCode(...line.subarray(star + 1, end));
  if (!/^[0-9a-fA-F]{4}$/.test(digits)) return { ok: false, why: "torn" };
  const body = line.subarray(0, star);
  if (crc16CcittFalse(body) !== Number.parseInt(digits, 16)) return { ok: false, why: "wrong-crc" };
  try {
    return { ok: true, text: new TextDecoder("utf-8", { fatal: true }).decode(body) };
  } catch {
    return { ok: false, why: "unparsable" };
  }
}

/** The line for a text, with its CRC and line feed: what a board sends. */
export function sealFrame(text: string): string {
  const crc = crc16CcittFalse(new TextEncoder().encode(text));
  return `${text}*${crc.toString(16).toUpperCase().padStart(4, "0")}\n`;
}
