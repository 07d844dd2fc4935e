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
  listChips,
  pickLine,
  troubleOfLine,
} from "./gpio-line.js";
import { readSysText } from "./sys-text.js";

export interface LineBoundary {
  readonly sysRoot: string;
  readonly gpio: GpioFactory;
}

export type LineTold = { readonly level: Level } | { readonly reason: Reason; readonly detail: string };

/** A line that is opened when it is first needed, and again after it was lost. */
export class HeldLine {
  #line: GpioLine | null = null;

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
    try {
      if (this.#line === null) {
        const found = await this.find();
        if (!found.ok) return found;
        this.#line = this.boundary.gpio(found.number, this.direction, this.edge);
        if (this.edge !== "none") this.#watch(this.#line);
      }
      return await act(this.#line);
    } catch (error) {
      this.#giveUp();
      return troubleOfLine(error);
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
