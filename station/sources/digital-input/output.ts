import { performance } from "node:perf_hooks";
import type { Finding } from "../../model/source.js";
import type { GpiodTools } from "../gpio/gpiod-tools.js";
import { checkLine, HeldLine } from "../gpio/held-line.js";
import type { Level } from "../gpio/line.js";
import type { SysfsLineFactory } from "../gpio/sysfs.js";
import type { DigitalOutputEntry } from "./output-entry.js";

export interface DigitalOutputDeps {
  readonly sysRoot: string;
  readonly gpio?: SysfsLineFactory;
  readonly tools?: GpiodTools;
  /** Monotonic time, milliseconds. */
  readonly mono?: () => number;
  /** How long closing waits for a line that does not answer; default 2 s. */
  readonly closeLimitMs?: number;
}

export interface DigitalOutput {
  /** Asks for the state. It is tried at once; what came of it shows in `state`. */
  set(active: boolean): void;
  /** What the line was last put to, or `faulty` where that failed. */
  state(): "active" | "inactive" | "faulty";
  /**
   * Looks at the line without taking it from a station that is running now. An output that is asked this straight after it
   * was made, and before anything was set, is one that is only checked: it never puts the line to anything.
   */
  check(): Promise<Finding>;
  /** Puts the line to inactive and gives it back. Resolves when that is done, has failed, or the limit has passed. */
  close(): Promise<void>;
}

/**
 * A line that switches an alarm lamp or sounder. It never has to do with whether the machine may run. It is put to inactive
 * as soon as it is made, because a station that was killed may have left its lamp on.
 */
export function createDigitalOutput(entry: DigitalOutputEntry, deps: DigitalOutputDeps): DigitalOutput {
  const { sysRoot, gpio, tools, mono = () => performance.now(), closeLimitMs = 2000 } = deps;
  const levelOf = (active: boolean): Level => (active === entry.active_low ? 0 : 1);
  // Opened at its inactive level, so that taking the line does not flash the lamp.
  const line = new HeldLine(
    { chip: entry.chip, line: entry.line },
    { sysRoot, gpio, tools, mono },
    entry.active_low ? "high" : "low",
    "none",
  );
  let wanted = false;
  let state: "active" | "inactive" | "faulty" = "inactive";
  let begun = false;
  let onlyChecked = false;
  let closing: Promise<void> | null = null;
  let closed = false;

  const put = async () => {
    if (onlyChecked || closed) return;
    begun = true;
    const active = wanted;
    const told = await line.write(levelOf(active));
    state = "reason" in told ? "faulty" : active ? "active" : "inactive";
  };
  let work = Promise.resolve().then(put);

  const letGo = () => {
    closed = true;
    try {
      line.close();
    } catch {
      state = "faulty";
    }
  };

  const close = () =>
    new Promise<void>((resolve) => {
      const over = () => {
        clearTimeout(limit);
        if (!closed) letGo();
        resolve();
      };
      const limit = setTimeout(over, closeLimitMs);
      wanted = false;
      void work.then(put).then(over);
    });

  return {
    set(active) {
      if (closing !== null) return;
      onlyChecked = false;
      wanted = active;
      work = work.then(put);
    },
    state: () => state,
    check() {
      onlyChecked ||= !begun;
      return checkLine(
        `output pin (line ${entry.line})`,
        line,
        (level) => `the level is ${level === 1 ? "high" : "low"}`,
      );
    },
    close() {
      closing ??= close();
      return closing;
    },
  };
}
