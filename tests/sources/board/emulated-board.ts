import { Chip, POWER_ON, WATCHDOG, type Wired } from "./chip.js";
import { CLOCK_HZ } from "./firmware-build.js";
import { HumiditySensor } from "./humidity-sensor.js";
import { OneWireProbe } from "./one-wire-probe.js";
import { PulseTrain } from "./pulse-train.js";

const LASER = 4;
const FLOW_WIRE_TEST = 6;
const FAN_WIRE_TEST = 7;
/** As in firmware-notes/sketch/config.h. */
const FAN_PULSES = 2;
const FLOW_PULSES_PER_LITRE = 450;
const DUCT_FULL_SCALE_PA = 500;
const SUPPLY_VOLTS = 5;

/** The reference firmware in an emulated chip with all that is wired to it. Its time passes only in `run`. */
export class EmulatedBoard {
  readonly coolantIn = new OneWireProbe(1, { afterUs: 15, forUs: 60 });
  readonly coolantOut = new OneWireProbe(2, { afterUs: 60, forUs: 240 });
  readonly room = new HumiditySensor();
  readonly fan = new PulseTrain(3);
  readonly flow = new PulseTrain(2);
  /** Whole lines that came out, in order. */
  readonly lines: string[] = [];
  watchdogResets = 0;
  /** Told of every byte that goes out. */
  sent: (byte: number) => void = () => {};

  readonly #program: Uint16Array;
  readonly #contacts: Wired & { lit: boolean; fanWire: boolean; flowWire: boolean; volts: number };
  #chip: Chip;
  #line = "";

  constructor(program: Uint16Array, cause = POWER_ON) {
    this.#program = program;
    this.#contacts = {
      lit: false,
      fanWire: true,
      flowWire: true,
      volts: 0.1 * SUPPLY_VOLTS,
      attach(chip) {
        chip.portD.setPin(LASER, !this.lit);
        chip.portD.setPin(FAN_WIRE_TEST, !this.fanWire);
        chip.portD.setPin(FLOW_WIRE_TEST, !this.flowWire);
        chip.adc.channelValues[0] = this.volts;
      },
    };
    this.#chip = this.#begin(cause, 0);
  }

  #begin(cause: number, cycles: number): Chip {
    const chip = new Chip(this.#program, cause, cycles, (byte) => this.#out(byte));
    const wired: Wired[] = [this.coolantIn, this.coolantOut, this.room, this.fan, this.flow, this.#contacts];
    for (const each of wired) each.attach(chip);
    return chip;
  }

  #out(byte: number): void {
    this.sent(byte);
    if (byte !== 0x0a) {
      this.#line += String.fromCharCode(byte);
      return;
    }
    this.lines.push(this.#line);
    this.#line = "";
  }

  get seconds(): number {
    return this.#chip.seconds;
  }

  /** Lets emulated time pass. A chip that its watchdog resets begins anew, and what is wired to it stays as it is. */
  run(seconds: number): void {
    const until = this.#chip.cycles + Math.round(seconds * CLOCK_HZ);
    while (this.#chip.run(until)) {
      this.watchdogResets += 1;
      this.#chip = this.#begin(WATCHDOG, this.#chip.cycles);
    }
  }

  /** Runs until a whole line that fits has come out, and gives it. @param within emulated seconds */
  runToLine(fits: (line: string) => boolean, within = 10): string {
    const until = this.seconds + within;
    for (let from = this.lines.length; this.seconds < until; from = this.lines.length) {
      this.run(0.001);
      const found = this.lines.slice(from).find(fits);
      if (found !== undefined) return found;
    }
    throw new Error(`no such line within ${within} emulated seconds; the last: ${this.lines.at(-1)}`);
  }

  set laser(lit: boolean) {
    this.#contacts.lit = lit;
    this.#contacts.attach(this.#chip);
  }

  set fanPerMinute(value: number) {
    this.fan.hertz = (value / 60) * FAN_PULSES;
  }

  set litresPerMinute(value: number) {
    this.flow.hertz = (value / 60) * FLOW_PULSES_PER_LITRE;
  }

  set pascals(value: number) {
    this.volts = (0.1 + (0.8 * value) / DUCT_FULL_SCALE_PA) * SUPPLY_VOLTS;
  }

  /** At the ADC's pin. */
  set volts(value: number) {
    this.#contacts.volts = value;
    this.#contacts.attach(this.#chip);
  }

  wires(wires: { fan?: boolean; flow?: boolean }): void {
    this.#contacts.fanWire = wires.fan ?? this.#contacts.fanWire;
    this.#contacts.flowWire = wires.flow ?? this.#contacts.flowWire;
    this.#contacts.attach(this.#chip);
  }

  hang(): void {
    this.#chip.hang();
  }
}
