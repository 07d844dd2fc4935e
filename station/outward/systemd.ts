import { type ChildProcess, spawn } from "node:child_process";
import type { Log } from "../log.js";

/** Tells systemd how the service does (sd_notify(3)), by its own systemd-notify: Node.js has no datagrams on Unix sockets. */
export interface SystemdNotifier {
  ready(): void;
  /** To be called every half second. While the station is not well nothing is told, and systemd starts it again. */
  tick(mono: number, well: boolean): void;
  stopping(): void;
}

/** sd_watchdog_enabled(3) asks for a word every half of the time; one that is lost or late must not end a station. */
const A_THIRD = 3;

/** @param systemd null: nobody is to be told */
export function createSystemdNotifier(
  systemd: { readonly socket: string; readonly watchdogMs: number | null } | null,
  log: Log,
): SystemdNotifier {
  let toldMono = Number.NEGATIVE_INFINITY;
  let failed = false;
  let helper: ChildProcess | null = null;

  function fail(why: string): void {
    if (!failed) log("error", "systemd could not be told", { why });
    failed = true;
    helper = null;
  }

  /** One that lives as long as the station and begins the others, for which a large process takes tens of milliseconds each. */
  function begin(socket: string): ChildProcess {
    const child = spawn("sh", ["-c", 'while read -r word; do systemd-notify "$word" </dev/null & done'], {
      stdio: ["pipe", "ignore", "ignore"],
      env: { PATH: "/usr/bin:/bin", NOTIFY_SOCKET: socket },
    });
    child.on("error", (error) => fail(error.message));
    child.on("exit", (code) => fail(`what tells it ended with ${code}`));
    child.stdin?.on("error", (error) => fail(error.message));
    child.unref();
    return child;
  }

  function tell(word: string): void {
    if (systemd === null) return;
    try {
      helper ??= begin(systemd.socket);
      helper.stdin?.write(`${word}\n`);
    } catch (error) {
      fail(error instanceof Error ? error.message : String(error));
    }
  }

  return {
    ready: () => tell("READY=1"),
    tick(mono, well) {
      const everyMs = systemd?.watchdogMs ?? null;
      if (everyMs === null || !well || mono - toldMono < everyMs / A_THIRD) return;
      toldMono = mono;
      tell("WATCHDOG=1");
    },
    stopping: () => tell("STOPPING=1"),
  };
}

/**
 * Whether the station does its work, as far as that can be seen from its main thread, which asks: that its writing thread is
 * alive. A commit on a worn card may take a minute; after this a thread hangs for good, and only a new start may help. A disk that
 * is full or away is no reason: the alarms go on, and the station says so itself.
 */
export const HANGS_AFTER_MS = 300_000;

export function isWell(journalSilentMs: number): boolean {
  return journalSilentMs < HANGS_AFTER_MS;
}
