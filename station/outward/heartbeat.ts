import type { HeartbeatEntry } from "./entry.js";

const ANSWER_WITHIN_MS = 15_000;

/** Asks for an address every so many minutes while the station is well, so that whoever keeps it notices when that stops. */
export interface Heartbeat {
  stop(): void;
}

/**
 * @param alive whether the station is well now: a heart that beats in a body that does not is worse than none
 * @param told of what went wrong, in words, and null once it passed
 */
export function startHeartbeat({ url, every_min }: HeartbeatEntry, alive: () => boolean): Heartbeat {
  async function beat(): Promise<void> {
    if (!alive()) return;
    try {
      const response = await fetch(url, {
        redirect: "manual",
        signal: AbortSignal.timeout(ANSWER_WITHIN_MS),
      });
      await response.body?.cancel();
    } catch {
      // Whoever keeps the address says that it did not come; that is what it is for.
    }
  }
  const timer = setInterval(() => void beat(), every_min * 60_000);
  void beat();
  return { stop: () => clearInterval(timer) };
}
