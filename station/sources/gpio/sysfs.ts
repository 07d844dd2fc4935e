import { constants } from "node:fs";
import { access, readdir } from "node:fs/promises";
import { join } from "node:path";
import { errnoOf } from "../errno.js";
import { type ReadText, readSysText } from "../sys-text.js";
import type { GpioDirection, GpioEdge, GpioLine, Level, LineAccess, LineEntry } from "./line.js";
import { byNumber, type Chip, pickChip } from "./pick-line.js";

/** The part of an `onoff` line that the station uses; a test stands something else in its place. */
export interface SysfsLine {
  read(): Promise<Level>;
  write(level: Level): Promise<void>;
  watch(callback: (error: Error | null | undefined, level: Level) => void): void;
  unwatchAll(): void;
  /** Gives the line back to the kernel. */
  unexport(): void;
}

/** @param number the number that sysfs counts by: the chip's base and the line on it. Throws the system's error. */
export type SysfsLineFactory = (number: number, direction: GpioDirection, edge: GpioEdge) => SysfsLine;

export interface SysfsChip extends Chip {
  /** First number of its lines in sysfs: an offset that differs between kernels. */
  readonly base: number;
}

/** Above this rate the way through sysfs is known to lose pulses (measured: 141 of 200 counted at 45 Hz). */
export const SYSFS_RELIABLE_HZ = 40;

const top = (sysRoot: string) => join(sysRoot, "class", "gpio");

/** Whether the kernel has this way to lines at all. */
export async function hasSysfsLines(sysRoot: string): Promise<boolean> {
  return access(top(sysRoot)).then(
    () => true,
    () => false,
  );
}

/** Lines by their files in sysfs: the older way, by number only, with the bias that the line has. */
export function sysfsAccess(sysRoot: string, factory: SysfsLineFactory): LineAccess {
  const find = async (entry: LineEntry) => {
    if (!byNumber(entry)) throw new TypeError("a line by number");
    const picked = pickChip(await listChips(sysRoot), entry, {
      detail: "the kernel shows no GPIO chip under /sys/class/gpio",
      mend: "use a kernel with CONFIG_GPIO_SYSFS",
    });
    if (!picked.ok) return picked;
    const { label, base } = picked.chip;
    const number = base + entry.line;
    return {
      ok: true,
      where: `${label}, whose lines start at ${base} in sysfs, so this one is ${number}`,
      inUse: async () => {
        const exported = await readSysText(join(top(sysRoot), `gpio${number}`, "value")).catch(() => null);
        if (exported === null) return undefined;
        const level: Level = exported.trim() === "1" ? 1 : 0;
        return { by: "the station or by a program that did not give it back", level };
      },
      take: async (direction: GpioDirection, edge: GpioEdge) => {
        await mayTake(sysRoot, number);
        return ofSysfs(factory(number, direction, edge));
      },
    } as const;
  };
  return { reliableHz: SYSFS_RELIABLE_HZ, why: "through /sys/class/gpio, which this kernel has", find };
}

function ofSysfs(line: SysfsLine): GpioLine {
  return {
    read: () => line.read(),
    write: (level) => line.write(level),
    // An error of an edge shows in the next read as well, which has the words for it.
    watch: (seen) => line.watch((error, level) => error ?? seen(level, null)),
    close: () => {
      try {
        line.unwatchAll();
      } finally {
        line.unexport();
      }
    },
  };
}

/** Every chip that sysfs shows; an empty list where it shows none. */
export async function listChips(
  sysRoot: string,
  readText: ReadText = readSysText,
): Promise<readonly SysfsChip[]> {
  const names = await readdir(top(sysRoot)).catch((error: unknown) => {
    if (errnoOf(error) === "ENOENT") return [];
    throw error;
  });
  const chips: SysfsChip[] = [];
  for (const name of names.filter((each) => /^gpiochip\d+$/.test(each)).sort()) {
    const text = async (file: string) => (await readText(join(top(sysRoot), name, file))).trim();
    const [label, base, lines] = [
      await text("label"),
      Number(await text("base")),
      Number(await text("ngpio")),
    ];
    if (Number.isInteger(base) && Number.isInteger(lines) && lines > 0) chips.push({ label, base, lines });
  }
  return chips;
}

/**
 * Whether the station's user may take a line, asked before it is tried. Rejects with the system's error where not.
 * @param number as sysfs counts
 */
async function mayTake(sysRoot: string, number: number): Promise<void> {
  try {
    await access(join(top(sysRoot), `gpio${number}`, "value"), constants.R_OK | constants.W_OK);
  } catch (error) {
    if (errnoOf(error) !== "ENOENT") throw error;
    await access(join(top(sysRoot), "export"), constants.W_OK);
  }
}
