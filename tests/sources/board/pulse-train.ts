import type { Chip, Wired } from "./chip.js";

/** An open collector with a pull-up on a pin of port D, which pulls `hertz` times a second for half of each period. */
export class PulseTrain implements Wired {
  readonly #pin: number;
  #chip!: Chip;
  #hertz = 0;
  #isLow = false;
  /** Which of the trains counts: one that was told another frequency ends. */
  #turn = 0;

  constructor(pin: number) {
    this.#pin = pin;
  }

  attach(chip: Chip): void {
    this.#chip = chip;
    chip.portD.setPin(this.#pin, !this.#isLow);
    this.hertz = this.#hertz;
  }

  set hertz(value: number) {
    this.#hertz = value;
    this.#turn += 1;
    if (value > 0) this.#flip(this.#turn);
  }

  /** One short pulse beside all others, as noise on the wire makes it. */
  spike(): void {
    for (const level of [this.#isLow, !this.#isLow]) this.#chip.portD.setPin(this.#pin, level);
  }

  #flip(turn: number): void {
    this.#chip.after(1e6 / this.#hertz / 2, () => {
      if (turn !== this.#turn) return;
      this.#isLow = !this.#isLow;
      this.#chip.portD.setPin(this.#pin, !this.#isLow);
      this.#flip(turn);
    });
  }
}
