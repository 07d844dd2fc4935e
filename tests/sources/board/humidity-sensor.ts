import type { TWIEventHandler } from "avr8js";
import type { Chip, Wired } from "./chip.js";

const ADDRESS = 0x44;
/** A byte and its acknowledgement at 100 kHz, µs. */
const BYTE_US = 90;
const MEASURING_S = 0.015;

/** CRC-8 of the SHT3x by its definition (data sheet SHT3x-DIS, version 5, table 20): 0x31, begun with 0xFF, not reflected. */
export function crc8Sht(bytes: readonly number[]): number {
  let crc = 0xff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 0x80 ? ((crc << 1) ^ 0x31) & 0xff : (crc << 1) & 0xff;
  }
  return crc;
}

/** An SHT3x at 0x44, asked for one measurement at a time without holding the clock (data sheet, sections 4.3 and 4.4). */
export class HumiditySensor implements Wired, TWIEventHandler {
  /** What it measures, as it sends it: 16 bits each. */
  words: readonly [temperature: number, humidity: number] = [0, 0];
  isThere = true;
  /** Bytes that it sends in place of its own checksums. */
  checksums: readonly [number, number] | null = null;
  readonly commands: number[] = [];

  #chip!: Chip;
  #isHeldLow = false;
  #received: number[] = [];
  #sends: number[] = [];
  #readyAt: number | null = null;

  attach(chip: Chip): void {
    this.#chip = chip;
    chip.twi.eventHandler = this;
    this.#pullUps();
  }

  measures(celsius: number, percent: number): void {
    this.words = [Math.round(((celsius + 45) / 175) * 65535), Math.round((percent / 100) * 65535)];
  }

  /** SCL joined to ground: nothing that is begun comes to an end. */
  holdLow(isHeldLow: boolean): void {
    const was = this.#isHeldLow;
    this.#isHeldLow = isHeldLow;
    this.#pullUps();
    // What hung is over; the library keeps its bus busy until it is told so.
    if (was && !isHeldLow) this.#chip.twi.completeStop();
  }

  /** All is well with it again. */
  mend(): void {
    this.isThere = true;
    this.checksums = null;
    this.holdLow(false);
  }

  #pullUps(): void {
    this.#chip.portC.setPin(4, true);
    this.#chip.portC.setPin(5, !this.#isHeldLow);
  }

  #later(complete: () => void): void {
    if (!this.#isHeldLow) this.#chip.after(BYTE_US, complete);
  }

  start(): void {
    this.#later(() => this.#chip.twi.completeStart());
  }

  stop(): void {
    this.#later(() => this.#chip.twi.completeStop());
  }

  connectToSlave(address: number, write: boolean): void {
    this.#received = [];
    const answers = this.isThere && address === ADDRESS && (write || this.#measured());
    this.#later(() => this.#chip.twi.completeConnect(answers));
  }

  writeByte(byte: number): void {
    this.#received.push(byte);
    const [high, low] = this.#received;
    if (high !== undefined && low !== undefined) {
      this.commands.push((high << 8) | low);
      if (high === 0x24 && low === 0x00) this.#readyAt = this.#chip.seconds + MEASURING_S;
    }
    this.#later(() => this.#chip.twi.completeWrite(this.isThere));
  }

  readByte(): void {
    const byte = this.#sends.shift() ?? 0xff;
    this.#later(() => this.#chip.twi.completeRead(byte));
  }

  /** While it measures, and with nothing measured, it does not answer to being read. */
  #measured(): boolean {
    if (this.#readyAt === null || this.#chip.seconds < this.#readyAt) return false;
    this.#readyAt = null;
    this.#sends = this.words.flatMap((word, i) => {
      const bytes = [word >> 8, word & 0xff];
      return [...bytes, this.checksums?.[i] ?? crc8Sht(bytes)];
    });
    return true;
  }
}
