import { setTimeout as pause } from "node:timers/promises";
import type { Log } from "./log.js";

export interface ClosingStep {
  readonly name: string;
  readonly close: () => Promise<unknown>;
}

export interface Closing {
  readonly log: Log;
  /** In the order in which they are to be closed. */
  readonly steps: readonly ClosingStep[];
  /** What needs no waiting for. */
  readonly finish: () => void;
  /** Whether a read is stuck in the kernel, as one of a dead bus can be. */
  readonly stuck: () => boolean;
}

/** Longest that one step may take before the next is begun. */
const STEP_MS = 12_000;
/** npm and systemd may both pass one press of Ctrl-C or one stop on: the same news, twice. */
const ECHO_MS = 2_000;

/**
 * Closes the parts in order when the process is told to stop, or when something goes wrong that nobody foresaw: no step
 * that fails or hangs keeps the next from its turn. Ends with 0 when told to stop, else with 1.
 */
export function closeInOrder({ log, steps, finish, stuck }: Closing): void {
  let began: number | null = null;

  const leave = (code: number) => {
    // An ordinary exit waits for every thread, and would wait for ever for one that is stuck in the kernel.
    if (stuck()) process.kill(process.pid, "SIGKILL");
    process.exit(code);
  };

  const close = async (code: number) => {
    began = performance.now();
    finish();
    for (const { name, close } of steps) {
      const result = await Promise.race([
        close().then(
          () => "closed",
          (error: unknown) => String(error),
        ),
        pause(STEP_MS, "it took too long"),
      ]);
      if (result !== "closed") log("error", "could not be closed in order", { what: name, why: result });
    }
    log("info", "stopped");
    leave(code);
  };

  const stop = (signal: string) => {
    if (began !== null) {
      // Whoever asks again after a while does not want to wait.
      if (performance.now() - began > ECHO_MS) leave(1);
      return;
    }
    log("info", "stopping", { signal });
    void close(0);
  };
  process.on("SIGINT", stop);
  process.on("SIGTERM", stop);

  const breakOff = (error: unknown) => {
    const words = error instanceof Error ? (error.stack ?? error.message) : String(error);
    log("error", "something went wrong that was not foreseen; the station stops", { error: words });
    if (began === null) void close(1);
  };
  process.on("uncaughtException", breakOff);
  process.on("unhandledRejection", breakOff);
}
