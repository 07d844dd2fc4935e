/** After so many failures in a row each next one has to wait. */
const FREE_FAILURES = 5;
const FIRST_WAIT_MS = 1000;
/** Without a failure for so long, those of before are forgotten. */
const FORGOTTEN_AFTER_MS = 24 * 3_600_000;
/** Names and addresses that are remembered; of more, those go that failed longest ago. */
const MOST_KEYS = 2000;

export interface Throttle {
  /** Milliseconds that are still to wait for any of the keys; 0 where none has to. */
  wait(keys: readonly string[], mono: number): number;
  failed(keys: readonly string[], mono: number): void;
  succeeded(keys: readonly string[]): void;
}

interface Failures {
  readonly count: number;
  readonly lastMono: number;
}

/**
 * Doubles the wait with each failure after the fifth, up to `longestMs`. Never ends: whoever waits may try again.
 * Holds itself to monotonic time. @param longestMs of a key
 */
export function createThrottle(longestMs: (key: string) => number): Throttle {
  // In the order of their last failure.
  const known = new Map<string, Failures>();

  const left = (key: string, mono: number): number => {
    const failures = known.get(key);
    if (failures === undefined || failures.count < FREE_FAILURES) return 0;
    const wait = Math.min(longestMs(key), FIRST_WAIT_MS * 2 ** (failures.count - FREE_FAILURES));
    return Math.max(0, failures.lastMono + wait - mono);
  };

  return {
    wait: (keys, mono) => Math.max(0, ...keys.map((key) => left(key, mono))),
    failed(keys, mono) {
      for (const key of keys) {
        const before = known.get(key);
        const fresh = before === undefined || mono - before.lastMono > FORGOTTEN_AFTER_MS;
        known.delete(key);
        known.set(key, { count: fresh ? 1 : before.count + 1, lastMono: mono });
      }
      for (const key of known.keys()) {
        if (known.size <= MOST_KEYS) break;
        known.delete(key);
      }
    },
    succeeded(keys) {
      for (const key of keys) known.delete(key);
    },
  };
}
