import { execFile } from "node:child_process";
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import { access } from "node:fs/promises";
import type { Clock, ClockState } from "./model/instant.js";

/** systemd-timesyncd leaves this file once it has set the clock since boot. */
const TIMESYNC_MARK = "/run/systemd/timesync/synchronized";
const BOOT_ID = "/proc/sys/kernel/random/boot_id";
const ASK_AGAIN_MS = 60_000;
/** While it is known not to be set: a time source may come at any moment. */
const ASK_SOON_MS = 10_000;

export interface SystemClock extends Clock {
  /** Asks for the state at once: something has set the clock. */
  askAgain(): void;
  stop(): void;
}

/**
 * The machine's clocks. `mono` is CLOCK_MONOTONIC, which on Linux counts from boot and is shared by every process, so
 * that a restarted station can be placed against the readings of the one before. Both are whole milliseconds: the
 * journal keeps whole milliseconds, and a stamp worked out again from it must come out the same.
 */
export async function createSystemClock(): Promise<SystemClock> {
  let state = await askWhetherSynchronised();
  let timer: NodeJS.Timeout | null = null;
  let stopped = false;
  const ask = async () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    state = await askWhetherSynchronised();
    wait();
  };
  const wait = () => {
    if (timer !== null) clearTimeout(timer);
    if (stopped) return;
    timer = setTimeout(() => void ask(), state === "not synchronised" ? ASK_SOON_MS : ASK_AGAIN_MS);
    timer.unref();
  };
  wait();
  return {
    now: () => ({ wall: Date.now(), mono: Number(process.hrtime.bigint() / 1_000_000n) }),
    bootId: readBootId(),
    state: () => state,
    askAgain: () => void ask(),
    stop() {
      stopped = true;
      if (timer !== null) clearTimeout(timer);
    },
  };
}

function readBootId(): string {
  try {
    return readFileSync(BOOT_ID, "utf8").trim();
  } catch {
    // Not Linux: every start then counts as a boot of its own, which never joins times that do not belong together.
    return randomUUID();
  }
}

async function askWhetherSynchronised(): Promise<ClockState> {
  try {
    await access(TIMESYNC_MARK);
    return "synchronised";
  } catch {
    return askTimedatectl();
  }
}

/** Covers other time services: systemd answers for whichever one disciplines the kernel's clock. */
function askTimedatectl(): Promise<ClockState> {
  return new Promise((resolve) => {
    execFile(
      "timedatectl",
      ["show", "--property=NTPSynchronized", "--value"],
      { timeout: 2_000 },
      (error, out) => {
        if (error) resolve("unknown");
        else resolve(out.trim() === "yes" ? "synchronised" : "not synchronised");
      },
    );
  });
}
