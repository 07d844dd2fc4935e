import { join } from "node:path";
import type { Reason } from "../model/reading.js";
import type { Finding } from "../model/source.js";
import {
  type FoundLine,
  type GpioDirection,
  type GpioEdge,
  type GpioFactory,
  type GpioLine,
  type Level,
  type LineEntry,
  type LineTrouble,
  listChips,
  mayTake,
  pickLine,
  troubleOfLine,
} from "./gpio-line.js";
import { readSysText } from "./sys-text.js";

export interface LineBoundary {
  readonly sysRoot: string;
  readonly gpio: GpioFactory;
  /** Monotonic time, milliseconds. */
  readonly mono: () => number;
}

export type LineTold = { readonly level: Level } | { readonly reason: Reason; readonly detail: string };

/** A line that could not be had: why, how many times in a row, and when it is tried again. */
interface Refusal {
  readonly trouble: LineTrouble;
  readonly count: number;
  readonly until: number;
}

const FIRST_BACK_OFF_MS = 1000;
const LONGEST_BACK_OFF_MS = 30_000;

/**
 * A line that is opened when it is first needed, and again after it was lost. One that could not be had is tried again after
 * 1 s, 2 s, 4 s, … 30 s: to take a line keeps the main thread waiting.
 */
export class HeldLine {
  #line: GpioLine | null = null;
  #refusal: Refusal | null = null;
  /** Counts the closings: an opening that was under way during one must not take the line after all. */
  #closings = 0;

  constructor(
    readonly entry: LineEntry,
    readonly boundary: LineBoundary,
    readonly direction: GpioDirection,
    readonly edge: GpioEdge,
    readonly edgeSeen: (level: Level) => void = () => {},
  ) {}

  get open(): boolean {
    return this.#line !== null;
  }

  find = async (): Promise<FoundLine> => pickLine(await listChips(this.boundary.sysRoot), this.entry);

  /** The level now. Opens the line where that is needed; gives it back where it fails. */
  async read(): Promise<LineTold> {
    return this.#attempt(async (line) => ({ level: await line.read() }));
  }

  async write(level: Level): Promise<LineTold> {
    return this.#attempt(async (line) => {
      await line.write(level);
      return { level };
    });
  }

  /** Gives the line back. A line that is not given back stays taken after the station has ended. */
  close(): void {
    this.#closings += 1;
    const line = this.#line;
    this.#line = null;
    if (line === null) return;
    try {
      line.unwatchAll();
    } finally {
      line.unexport();
    }
  }

  async #attempt(act: (line: GpioLine) => Promise<LineTold>): Promise<LineTold> {
    const line = this.#line ?? (await this.#take());
    if ("reason" in line) return line;
    try {
      return await act(line);
    } catch (error) {
      if (line === this.#line) this.#giveUp();
      return troubleOfLine(error);
    }
  }

  async #take(): Promise<GpioLine | Exclude<LineTold, { level: Level }>> {
    const { sysRoot, gpio, mono } = this.boundary;
    const refused = this.#refusal;
    if (refused !== null && mono() < refused.until) return refused.trouble;
    const closings = this.#closings;
    try {
      const found = await this.find();
      if (!found.ok) return found;
      await mayTake(sysRoot, found.number);
      if (closings !== this.#closings)
        return { reason: "missing", detail: "the line was given back meanwhile" };
      const line = gpio(found.number, this.direction, this.edge);
      this.#line = line;
      if (this.edge !== "none") this.#watch(line);
      this.#refusal = null;
      return line;
    } catch (error) {
      this.#giveUp();
      const trouble = troubleOfLine(error);
      const count = (refused?.count ?? 0) + 1;
      const pause = Math.min(LONGEST_BACK_OFF_MS, FIRST_BACK_OFF_MS * 2 ** (count - 1));
      this.#refusal = { trouble, count, until: mono() + pause };
      return trouble;
    }
  }

  #watch(line: GpioLine): void {
    line.watch((error, level) => {
      // An error here shows in the next read as well, which has the words for it.
      if (line === this.#line && (error === null || error === undefined)) this.edgeSeen(level);
    });
  }

  #giveUp(): void {
    try {
      this.close();
    } catch {
      // The line is gone already; there is nothing left to give back.
      this.#line = null;
    }
  }
}

/** Gives lines back, each of them even where another does not let go. @throws the first error */
export function closeLines(lines: readonly HeldLine[]): void {
  const [line, ...others] = lines;
  if (line === undefined) return;
  try {
    line.close();
  } finally {
    closeLines(others);
  }
}

/** Finds the line, takes it for a moment, reads it and gives it back. */
export async function checkLine(
  subject: string,
  held: HeldLine,
  words: (level: Level) => string,
): Promise<Finding> {
  let found: FoundLine;
  try {
    found = await held.find();
  } catch (error) {
    const { detail, mend } = troubleOfLine(error);
    return { subject, ok: false, found: detail, mend };
  }
  if (!found.ok) return { subject, ok: false, found: found.detail, mend: found.mend };
  const { chip, number } = found;
  const where = `${chip.label}, whose lines start at ${chip.base} in sysfs, so this one is ${number}`;
  // Taking a line that is exported, and giving it back, would take it from a station that is running now.
  const exported = await readSysText(
    join(held.boundary.sysRoot, "class", "gpio", `gpio${number}`, "value"),
  ).catch(() => null);
  if (exported !== null) {
    const level: Level = exported.trim() === "1" ? 1 : 0;
    const found = `${where}; it is in use, by the station or by a program that did not give it back; ${words(level)}`;
    return { subject, ok: true, found, mend: "" };
  }
  try {
    await mayTake(held.boundary.sysRoot, number);
    const line = held.boundary.gpio(number, "in", "none");
    try {
      return { subject, ok: true, found: `${where}; ${words(await line.read())}`, mend: "" };
    } finally {
      line.unexport();
    }
  } catch (error) {
    const { detail, mend } = troubleOfLine(error);
    return { subject, ok: false, found: `${where}; ${detail}`, mend };
  }
}
