import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { setTimeout as pause } from "node:timers/promises";
import type { Log } from "./log.js";

/** Told to stop, or something went wrong that nobody foresaw. */
export type ClosingCause = "told" | "fault";

export interface Closing {
  /** What is to be closed, in the order in which it came to be; it is closed the other way round. */
  add(name: string, close: (cause: ClosingCause) => unknown): void;
  /** Closes in order as when told to stop, and ends so that whatever watches the station starts it again. */
  restart(): void;
}

/** Longest that one part may take before the next is begun. */
const PART_MS = 12_000;
/** npm and systemd may both pass one press of Ctrl-C or one stop on: the same news, twice. */
const ECHO_MS = 2_000;
const LAST_RESORT_S = 3;
/**
 * Restart=always of systemd starts the station again after any end, Restart=on-failure after any but 0. This is EX_TEMPFAIL of
 * sysexits(3): to be tried again.
 */
export const RESTART_CODE = 75;

/**
 * Closes the parts in order when the process is told to stop, or when something goes wrong that nobody foresaw: no part that
 * fails or hangs keeps the next from its turn. Ends with 0 when told to stop, 75 when told to begin anew, else with 1.
 */
export function closeInOrder(log: Log): Closing {
  const parts: { readonly name: string; readonly close: (cause: ClosingCause) => unknown }[] = [];
  let began: number | null = null;

  const close = async (cause: ClosingCause, code = cause === "told" ? 0 : 1) => {
    began = performance.now();
    for (const { name, close } of parts.reverse()) {
      const result = await Promise.race([closed(() => close(cause)), pause(PART_MS, "it took too long")]);
      if (result !== null) log("error", "could not be closed in order", { what: name, why: result });
    }
    log("info", "stopped");
    leave(code);
  };

  const stop = (signal: string) => {
    if (began === null) {
      log("info", "stopping", { signal });
      void close("told");
    } else if (performance.now() - began > ECHO_MS) {
      // Whoever asks again after a while does not want to wait.
      leave(1);
    }
  };
  process.on("SIGINT", stop);
  process.on("SIGTERM", stop);

  const breakOff = (error: unknown) => {
    const words = error instanceof Error ? (error.stack ?? error.message) : String(error);
    log("error", "something went wrong that was not foreseen; the station stops", { error: words });
    if (began === null) void close("fault");
  };
  process.on("uncaughtException", breakOff);
  process.on("unhandledRejection", breakOff);

  return {
    add(name, close) {
      parts.push({ name, close });
    },
    restart() {
      if (began !== null) return;
      log("info", "stopping, to be started again");
      void close("told", RESTART_CODE);
    },
  };
}

/** Null once it is closed, or why it is not. */
async function closed(close: () => unknown): Promise<string | null> {
  try {
    await close();
    return null;
  } catch (error) {
    return String(error);
  }
}

function leave(code: number): never {
  killLater();
  process.exit(code);
}

/**
 * An ordinary exit waits for every thread, and would wait for ever for one that is stuck in the kernel, as a read of a dead
 * bus or a write to a dead card can be. So a child is left behind that ends this very process, should it still be there.
 */
function killLater(): void {
  try {
    const started = startTime(process.pid);
    const same = `[ "$(sed 's/^.*) //' /proc/${process.pid}/stat | cut -d' ' -f20)" = "${started}" ]`;
    const script = `sleep ${LAST_RESORT_S}; ${same} && kill -9 ${process.pid}`;
    spawn("sh", ["-c", script], { detached: true, stdio: "ignore" }).unref();
  } catch {
    // Not Linux, or no process to be had: the ordinary exit has to do.
  }
}

/** Field 22 of /proc/PID/stat (proc(5)): with the number of the process it names one process for good. */
function startTime(pid: number): string {
  const behindName = readFileSync(`/proc/${pid}/stat`, "utf8").replace(/^.*\) /s, "");
  return behindName.split(" ")[19] ?? "";
}
