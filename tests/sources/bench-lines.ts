import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { GpioEdge, Level } from "../../station/sources/gpio/line.js";
import type { SysfsLineFactory } from "../../station/sources/gpio/sysfs.js";

interface Taken {
  readonly edge: GpioEdge;
  listener: ((error: Error | null | undefined, level: Level) => void) | null;
}

/** A board of lines with the shape of onoff's: levels are moved by the test, and lines can be made to fail. */
export class BenchLines {
  readonly levels = new Map<number, Level>();
  /** Lines that are taken now, by their number in sysfs. */
  readonly taken = new Map<number, Taken>();
  readonly writes: [number, Level][] = [];
  readonly directions: string[] = [];
  /** How often a line was asked for, in vain or not. */
  asked = 0;
  /** Thrown when a line is asked for. */
  refuse: Error | null = null;
  /** Thrown when a line is read or written. */
  fail: Error | null = null;
  /** While set, reads and writes do not come back. */
  hang: Promise<void> | null = null;
  /** Thrown when a line is given back; it then stays taken. */
  keep: Error | null = null;
  /** Time from the reading of a level to its answer, milliseconds. */
  answerMs = 0;

  readonly factory: SysfsLineFactory = (number, direction, edge) => {
    this.asked += 1;
    if (this.refuse !== null) throw this.refuse;
    const taken: Taken = { edge, listener: null };
    this.taken.set(number, taken);
    this.directions.push(direction);
    if (direction !== "in") this.levels.set(number, direction === "high" ? 1 : 0);
    return {
      read: async () => {
        if (this.hang !== null) await this.hang;
        if (this.fail !== null) throw this.fail;
        const level = this.levels.get(number) ?? 0;
        if (this.answerMs > 0) await new Promise((resolve) => setTimeout(resolve, this.answerMs));
        return level;
      },
      write: async (level) => {
        if (this.hang !== null) await this.hang;
        if (this.fail !== null) throw this.fail;
        this.levels.set(number, level);
        this.writes.push([number, level]);
      },
      watch: (listener) => {
        taken.listener = listener;
      },
      unwatchAll: () => {
        taken.listener = null;
      },
      unexport: () => {
        if (this.keep !== null) throw this.keep;
        this.taken.delete(number);
      },
    };
  };

  /** Moves a line, and tells of the edge as the kernel would. */
  move(number: number, level: Level): void {
    const before = this.levels.get(number) ?? 0;
    this.levels.set(number, level);
    const taken = this.taken.get(number);
    if (taken === undefined || before === level) return;
    if (taken.edge === "both" || (taken.edge === "rising" && level === 1)) taken.listener?.(null, level);
  }
}

export const errno = (code: string) => Object.assign(new Error(`${code}: as the kernel would`), { code });

/** A folder that stands for /sys with two chips: the header's, whose lines start at 512, and another. */
export function sysWithChips(sysRoot: string): void {
  const chip = (name: string, label: string, base: number, lines: number) => {
    const folder = join(sysRoot, "class", "gpio", name);
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, "label"), `${label}\n`);
    writeFileSync(join(folder, "base"), `${base}\n`);
    writeFileSync(join(folder, "ngpio"), `${lines}\n`);
  };
  mkdirSync(join(sysRoot, "class", "gpio"), { recursive: true });
  writeFileSync(join(sysRoot, "class", "gpio", "export"), "");
  chip("gpiochip512", "pinctrl-bcm2711", 512, 58);
  chip("gpiochip570", "raspberrypi-exp-gpio", 570, 8);
}
