import type { Finding } from "../../model/source.js";
import { type GpioFactory, type Level, onoffLines } from "../gpio-line.js";
import { checkLine, HeldLine } from "../held-line.js";
import type { DigitalOutputEntry } from "./output-entry.js";

export interface DigitalOutputDeps {
  readonly sysRoot: string;
  readonly gpio?: GpioFactory;
}

export interface DigitalOutput {
  /** Asks for the state. It is tried at once; what came of it shows in `state`. */
  set(active: boolean): void;
  /** What the line was last put to, or `faulty` where that failed. Before anything was set it is inactive. */
  state(): "active" | "inactive" | "faulty";
  check(): Promise<Finding>;
  /** Puts the line to inactive and gives it back. */
  close(): Promise<void>;
}

/** A line that switches an alarm lamp or sounder. It never has to do with whether the machine may run. */
export function createDigitalOutput(entry: DigitalOutputEntry, deps: DigitalOutputDeps): DigitalOutput {
  const levelOf = (active: boolean): Level => (active === entry.active_low ? 0 : 1);
  // Opened at its inactive level, so that taking the line does not flash the lamp.
  const line = new HeldLine(
    { chip: entry.chip, line: entry.line },
    { sysRoot: deps.sysRoot, gpio: deps.gpio ?? onoffLines },
    entry.active_low ? "high" : "low",
    "none",
  );
  let wanted = false;
  let state: "active" | "inactive" | "faulty" = "inactive";
  let closing = false;
  let work: Promise<void> = Promise.resolve();

  const put = async () => {
    const active = wanted;
    const told = await line.write(levelOf(active));
    state = "reason" in told ? "faulty" : active ? "active" : "inactive";
  };

  return {
    set(active) {
      if (closing) return;
      wanted = active;
      work = work.then(put);
    },
    state: () => state,
    check: () =>
      checkLine(
        `alarm output (line ${entry.line})`,
        line,
        (level) => `the level is ${level === 1 ? "high" : "low"}`,
      ),
    async close() {
      closing = true;
      wanted = false;
      await work;
      if (line.open) await put();
      line.close();
    },
  };
}
