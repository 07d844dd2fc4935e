import { PinState } from "avr8js";
import { crc8Maxim } from "../../../station/sources/kernel-one-wire/crc8.js";
import type { Chip, Wired } from "./chip.js";

/** Its alarm bytes as it comes from the factory (from memory). */
const EEPROM = [0x4b, 0x46];

/**
 * A DS18B20 on a pin of port B, as its data sheet describes it (from memory): reset and presence, write and read slots, the
 * commands that one probe alone on its wire is asked with, the scratchpad with its checksum and its values at power-on. It is as
 * bad as the data sheet allows: what it sends is over after 15 µs. What the board does outside the data sheet's times is kept in
 * `violations`.
 */
export class OneWireProbe implements Wired {
  /** Sixteenths of a degree Celsius. */
  raw = 20 * 16;
  isThere = true;
  /** Its checksum is spoilt on the way. */
  crcIsSpoilt = false;
  /** The command to convert does not reach it. */
  isDeafToConvert = false;
  /** It loses its supply for a moment in the middle of every conversion. */
  losesSupply = false;
  readonly violations: string[] = [];

  readonly #pin: number;
  readonly #presence: { readonly afterUs: number; readonly forUs: number };
  #chip!: Chip;
  #scratchpad = this.#atPowerOn();
  #convertedAt: number | null = null;
  #expects: "nothing" | "rom" | "function" | "scratchpad" = "nothing";
  #received: number[] = [];
  #sends: (() => boolean) | null = null;
  #isShorted = false;
  #masterPulls = false;
  #pulls = false;
  #fellAt = 0;
  #slotAfter = 0;
  #bits = 0;
  #byte = 0;

  constructor(pin: number, presence: { afterUs: number; forUs: number }) {
    this.#pin = pin;
    this.#presence = presence;
  }

  attach(chip: Chip): void {
    this.#chip = chip;
    this.#masterPulls = false;
    this.#pulls = false;
    chip.portB.addListener(() => {
      const pulls = chip.portB.pinState(this.#pin) === PinState.Low;
      if (pulls === this.#masterPulls) return;
      this.#masterPulls = pulls;
      if (pulls) this.#fell();
      else this.#rose();
      this.#settle();
    });
    this.#settle();
  }

  set celsius(value: number) {
    this.raw = Math.round(value * 16);
  }

  /** Its data wire joined to ground, or no longer. */
  short(isShorted: boolean): void {
    this.#isShorted = isShorted;
    this.#settle();
  }

  /** All is well with it again. */
  mend(): void {
    this.isThere = true;
    this.crcIsSpoilt = false;
    this.isDeafToConvert = false;
    this.losesSupply = false;
    this.short(false);
  }

  losePower(): void {
    this.#scratchpad = this.#atPowerOn();
    this.#convertedAt = null;
    this.#expects = "nothing";
    this.#sends = null;
  }

  #atPowerOn(): number[] {
    return [0x50, 0x05, ...EEPROM, 0x7f, 0xff, 0x0c, 0x10];
  }

  #settle(): void {
    this.#chip.portB.setPin(this.#pin, !(this.#masterPulls || this.#pulls || this.#isShorted));
  }

  #pullFor(us: number): void {
    this.#pulls = true;
    this.#settle();
    this.#chip.after(us, () => {
      this.#pulls = false;
      this.#settle();
    });
  }

  #us(): number {
    return this.#chip.seconds * 1e6;
  }

  #breach(what: string): void {
    this.violations.push(`${what} at ${this.#chip.seconds.toFixed(6)} s`);
  }

  #fell(): void {
    this.#fellAt = this.#us();
    if (!this.isThere) return;
    if (this.#fellAt < this.#slotAfter) this.#breach("a slot begins before the one before it is over");
    // 60 µs and 1 µs to recover; a reset may begin as early.
    this.#slotAfter = this.#fellAt + 61;
    if (this.#sends?.() === false) this.#pullFor(15);
  }

  #rose(): void {
    const low = this.#us() - this.#fellAt;
    if (!this.isThere) return;
    if (low >= 480) this.#reset();
    else if (low > 120 || low < 1) this.#breach(`a low of ${low.toFixed(2)} µs, neither a slot nor a reset`);
    else if (this.#sends === null) this.#hear(low);
    else if (low > 15) this.#breach(`a read slot that is low for ${low.toFixed(1)} µs`);
  }

  #reset(): void {
    this.#expects = "rom";
    this.#received = [];
    this.#bits = 0;
    this.#sends = null;
    this.#slotAfter = this.#us() + 480;
    this.#chip.after(this.#presence.afterUs, () => {
      if (this.isThere) this.#pullFor(this.#presence.forUs);
    });
  }

  #hear(low: number): void {
    if (low > 15 && low < 60) this.#breach(`a write slot that is low for ${low.toFixed(1)} µs`);
    if (this.#expects === "nothing") return;
    this.#byte = (this.#byte >>> 1) | (low <= 15 ? 0x80 : 0);
    this.#bits += 1;
    if (this.#bits < 8) return;
    const byte = this.#byte;
    this.#bits = 0;
    this.#byte = 0;
    this.#take(byte);
  }

  #take(byte: number): void {
    if (this.#expects === "rom") {
      this.#expects = byte === 0xcc ? "function" : "nothing";
    } else if (this.#expects === "function") {
      this.#command(byte);
    } else {
      this.#received.push(byte);
      if (this.#received.length < 3) return;
      this.#scratchpad.splice(2, 3, ...this.#received);
      this.#expects = "nothing";
    }
  }

  #command(byte: number): void {
    this.#expects = byte === 0x4e ? "scratchpad" : "nothing";
    if (byte === 0x44 && !this.isDeafToConvert) this.#convert();
    if (byte === 0xbe) this.#sends = this.#bitsOf(this.#told());
  }

  /** 12 bits in 700 ms; the data sheet says 750 at most. */
  #convert(): void {
    const doneAt = this.#chip.seconds + 0.7;
    this.#convertedAt = doneAt;
    this.#sends = () => this.#chip.seconds >= doneAt;
    if (this.losesSupply) this.#chip.after(300_000, () => this.losePower());
  }

  #told(): number[] {
    if (this.#convertedAt !== null && this.#chip.seconds >= this.#convertedAt) {
      this.#convertedAt = null;
      this.#scratchpad[0] = this.raw & 0xff;
      this.#scratchpad[1] = (this.raw >> 8) & 0xff;
      this.#scratchpad[6] = 0x10 - (this.raw & 0x0f);
    }
    const crc = crc8Maxim(this.#scratchpad);
    return [...this.#scratchpad, this.crcIsSpoilt ? crc ^ 0x10 : crc];
  }

  #bitsOf(bytes: readonly number[]): () => boolean {
    let at = 0;
    return () => {
      const bit = ((bytes[at >> 3] ?? 0xff) >> (at & 7)) & 1;
      at += 1;
      return bit === 1;
    };
  }
}
