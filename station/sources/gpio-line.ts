import { constants } from "node:fs";
import { access, readdir } from "node:fs/promises";
import { join } from "node:path";
import type { Reason } from "../model/reading.js";
import { errnoOf, reasonOfErrno, textOf } from "./errno.js";
import { type ReadText, readSysText } from "./sys-text.js";

/** 1 is a high level at the pin, 0 a low one. */
export type Level = 0 | 1;

/** The part of an `onoff` line that the station uses; a test stands something else in its place. */
export interface GpioLine {
  read(): Promise<Level>;
  write(level: Level): Promise<void>;
  watch(callback: (error: Error | null | undefined, level: Level) => void): void;
  unwatchAll(): void;
  /** Gives the line back to the kernel. */
  unexport(): void;
}

export type GpioDirection = "in" | "high" | "low";
export type GpioEdge = "none" | "rising" | "both";

/** @param number the number that sysfs counts by: the chip's base and the line on it. Throws the system's error. */
export type GpioFactory = (number: number, direction: GpioDirection, edge: GpioEdge) => GpioLine;

export interface Chip {
  readonly label: string;
  /** First number of its lines in sysfs: an offset that differs between kernels. */
  readonly base: number;
  readonly lines: number;
}

export interface LineEntry {
  readonly chip?: string | undefined;
  readonly line: number;
}

export type FoundLine =
  | { readonly ok: true; readonly number: number; readonly chip: Chip }
  | { readonly ok: false; readonly reason: Reason; readonly detail: string; readonly mend: string };

/** The header of a Raspberry Pi, by the labels of its pin controllers: BCM chips up to the Pi 4, RP1 on the Pi 5. */
const HEADER_LABEL = /^pinctrl-(bcm|rp1)/;

/**
 * The line an entry means. Without a chip it is that of the Pi's header, or the only chip there is. `line` counts on the
 * chip, so it is the GPIO number printed in pin-out drawings, not the number of the pin.
 */
export function pickLine(chips: readonly Chip[], { chip: wanted, line }: LineEntry): FoundLine {
  const there = chips.map(({ label }) => label).join(", ");
  const none = (detail: string, mend: string): FoundLine => ({ ok: false, reason: "missing", detail, mend });
  if (chips.length === 0) {
    return none("the kernel shows no GPIO chip under /sys/class/gpio", "use a kernel with CONFIG_GPIO_SYSFS");
  }
  const header = chips.filter(({ label }) => HEADER_LABEL.test(label));
  const byDefault = header.length > 0 ? header : chips;
  const fitting = wanted === undefined ? byDefault : chips.filter(({ label }) => label.includes(wanted));
  const [chip, second] = fitting;
  if (chip === undefined)
    return none(`no chip is labelled ${wanted}; there are ${there}`, "correct chip in station.yaml");
  if (second !== undefined)
    return none(`several chips fit: ${there}`, "name one of them as chip in station.yaml");
  if (line >= chip.lines) {
    return none(
      `${chip.label} has lines 0 to ${chip.lines - 1}, and no ${line}`,
      "correct line in station.yaml",
    );
  }
  return { ok: true, number: chip.base + line, chip };
}

/** Every chip that sysfs shows; an empty list where it shows none. */
export async function listChips(sysRoot: string, readText: ReadText = readSysText): Promise<readonly Chip[]> {
  const top = join(sysRoot, "class", "gpio");
  const names = await readdir(top).catch((error: unknown) => {
    if (errnoOf(error) === "ENOENT") return [];
    throw error;
  });
  const chips: Chip[] = [];
  for (const name of names.filter((each) => /^gpiochip\d+$/.test(each)).sort()) {
    const text = async (file: string) => (await readText(join(top, name, file))).trim();
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
export async function mayTake(sysRoot: string, number: number): Promise<void> {
  const top = join(sysRoot, "class", "gpio");
  try {
    await access(join(top, `gpio${number}`, "value"), constants.R_OK | constants.W_OK);
  } catch (error) {
    if (errnoOf(error) !== "ENOENT") throw error;
    await access(join(top, "export"), constants.W_OK);
  }
}

export interface LineTrouble {
  readonly reason: Reason;
  readonly detail: string;
  readonly mend: string;
}

/** Words for a line that could not be had, or was lost. sysfs says EINVAL of a number that no chip has. */
export function troubleOfLine(error: unknown): LineTrouble {
  const code = errnoOf(error);
  const reason = code === "EINVAL" || code === "ENXIO" ? "missing" : reasonOfErrno(error);
  switch (reason) {
    case "busy":
      return {
        reason,
        detail: "the line is taken: a driver of the kernel or another program holds it",
        mend: "see /sys/kernel/debug/gpio for who holds it; free it, or wire to another line",
      };
    case "missing":
      return {
        reason,
        detail: `the line is not there (${textOf(error)})`,
        mend: "check chip and line in station.yaml",
      };
    case "no-permission":
      return {
        reason,
        detail: "the station's user may not use the line",
        mend: "sudo usermod -aG gpio USER for the station's user, then sign in again",
      };
    default:
      return { reason, detail: textOf(error), mend: "check the wiring, and restart the Pi" };
  }
}
