import type { Reason } from "../../model/reading.js";
import type { Finding } from "../../model/source.js";
import { accessFor, type LineBoundary } from "./access.js";
import {
  type EdgeSeen,
  type GpioDirection,
  type GpioEdge,
  type GpioLine,
  type Level,
  type LineEntry,
  type LineSearch,
  type LineTrouble,
  troubleOfLine,
} from "./line.js";

export type LineTold = { readonly level: Level } | { readonly reason: Reason; readonly detail: string };

/** A line that could not be had: why, how many times in a row, and when it is tried again. */
interface Refusal {
  readonly trouble: LineTrouble;
  readonly count: number;
  readonly until: number;
}

const GIVEN_BACK = { reason: "missing", detail: "the line was given back meanwhile" } as const;

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
  #why = "";
  #reliableHz = 0;

  constructor(
    readonly entry: LineEntry,
    readonly boundary: LineBoundary,
    readonly direction: GpioDirection,
    readonly edge: GpioEdge,
    readonly edgeSeen: EdgeSeen = () => {},
  ) {}

  get open(): boolean {
    return this.#line !== null;
  }

  /** Which way the line was looked for, and why; empty before it was. */
  get why(): string {
    return this.#why;
  }

  /** Above this rate pulses of the line are known to be lost; a second. */
  get reliableHz(): number {
    return this.#reliableHz;
  }

  async find(): Promise<LineSearch> {
    const access = await accessFor(this.entry, this.boundary);
    this.#why = access.why;
    this.#reliableHz = access.reliableHz;
    return access.find(this.entry);
  }

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
    line?.close();
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
    const { mono } = this.boundary;
    const refused = this.#refusal;
    if (refused !== null && mono() < refused.until) return refused.trouble;
    const closings = this.#closings;
    try {
      const found = await this.find();
      if (!found.ok) return found;
      if (closings !== this.#closings) return GIVEN_BACK;
      const line = await found.take(this.direction, this.edge);
      if (closings !== this.#closings) {
        line.close();
        return GIVEN_BACK;
      }
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
    line.watch((level, mono) => {
      if (line === this.#line) this.edgeSeen(level, mono);
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
  let where = "";
  const withWhere = (found: string) => (where === "" ? found : `${where}; ${found}`);
  try {
    const found = await held.find();
    if (!found.ok) return { subject, ok: false, found: found.detail, mend: found.mend };
    where = `${found.where} (${held.why})`;
    const use = await found.inUse();
    if (use !== undefined) {
      const level = use.level === null ? "its level cannot be read meanwhile" : words(use.level);
      return { subject, ok: true, found: withWhere(`it is in use, by ${use.by}; ${level}`), mend: "" };
    }
    const line = await found.take("in", "none");
    try {
      return { subject, ok: true, found: withWhere(words(await line.read())), mend: "" };
    } finally {
      line.close();
    }
  } catch (error) {
    const { detail, mend } = troubleOfLine(error);
    return { subject, ok: false, found: withWhere(detail), mend };
  }
}
