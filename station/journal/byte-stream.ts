/** Stored bytes that do not say what they should: they are never taken for data. */
export class DamagedBytes extends Error {
  override readonly name = "DamagedBytes";
}

/**
 * Columns hold whole numbers up to this as differences, and others as they are: differences of differences of them, with
 * their sign folded in, are exact in a double. As milliseconds it is some nine thousand years.
 */
export const MOST_INTEGER = 2 ** 48;

const SEVEN_BITS = 128;
const THIRTY_ONE_BITS = 2 ** 31;

/** Bytes written one after another into a buffer that grows. */
export class ByteSink {
  #bytes: Uint8Array;
  #view: DataView;
  #length = 0;

  constructor(capacity = 4096) {
    this.#bytes = new Uint8Array(capacity);
    this.#view = new DataView(this.#bytes.buffer);
  }

  #room(more: number): void {
    if (this.#length + more <= this.#bytes.length) return;
    const larger = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + more));
    larger.set(this.#bytes.subarray(0, this.#length));
    this.#bytes = larger;
    this.#view = new DataView(larger.buffer);
  }

  byte(value: number): void {
    this.#room(1);
    this.#bytes[this.#length++] = value;
  }

  /** A whole number from 0 to 2^53 - 1: seven bits to a byte, the lowest first (LEB128). */
  varint(value: number): void {
    this.#room(8);
    let rest = value;
    while (rest >= SEVEN_BITS) {
      this.#bytes[this.#length++] = (rest % SEVEN_BITS) + SEVEN_BITS;
      rest = Math.floor(rest / SEVEN_BITS);
    }
    this.#bytes[this.#length++] = rest;
  }

  /** A whole number between plus and minus 2^52. */
  signed(value: number): void {
    this.varint(zigzag(value));
  }

  double(value: number): void {
    this.#room(8);
    this.#view.setFloat64(this.#length, value, true);
    this.#length += 8;
  }

  text(value: string): void {
    const bytes = new TextEncoder().encode(value);
    this.varint(bytes.length);
    this.#room(bytes.length);
    this.#bytes.set(bytes, this.#length);
    this.#length += bytes.length;
  }

  /** What was written; good until the next byte is. */
  written(): Uint8Array {
    return this.#bytes.subarray(0, this.#length);
  }
}

/** Reads what a `ByteSink` wrote. Every method throws DamagedBytes beyond the end. */
export class ByteSource {
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  get ended(): boolean {
    return this.#at === this.#bytes.length;
  }

  byte(): number {
    const value = this.#bytes[this.#at++];
    if (value === undefined) throw new DamagedBytes("The bytes end too early.");
    return value;
  }

  varint(): number {
    const first = this.byte();
    return first < SEVEN_BITS ? first : this.varintFrom(first);
  }

  /** The rest of a varint whose first byte has been read. */
  varintFrom(first: number): number {
    let value = first % SEVEN_BITS;
    let unit = SEVEN_BITS;
    for (let byte = first; byte >= SEVEN_BITS; unit *= SEVEN_BITS) {
      byte = this.byte();
      value += (byte % SEVEN_BITS) * unit;
      if (!Number.isSafeInteger(value)) throw new DamagedBytes("A number is too large.");
    }
    return value;
  }

  signed(): number {
    return unzigzag(this.varint());
  }

  double(): number {
    if (this.#at + 8 > this.#bytes.length) throw new DamagedBytes("The bytes end too early.");
    const value = this.#view.getFloat64(this.#at, true);
    this.#at += 8;
    return value;
  }

  text(): string {
    const length = this.varint();
    if (this.#at + length > this.#bytes.length) throw new DamagedBytes("The bytes end too early.");
    const value = new TextDecoder().decode(this.#bytes.subarray(this.#at, this.#at + length));
    this.#at += length;
    return value;
  }
}

/** Whole numbers of either sign as whole numbers from 0, small ones staying small: 0, -1, 1, -2, ... become 0, 1, 2, 3, ... */
export function zigzag(value: number): number {
  return value < 0 ? -2 * value - 1 : 2 * value;
}

export function unzigzag(value: number): number {
  if (value < THIRTY_ONE_BITS) return (value >>> 1) ^ -(value & 1);
  return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
}
