/** After so many failures in a row each next one has to wait. */
const FREE_FAILURES = 5;
const FIRST_WAIT_MS = 1000;
/** Without a failure for so long, those of before are forgotten. */
const FORGOTTEN_AFTER_MS = 24 * 3_600_000;
/** Keys of one kind that are remembered; of more, those go that failed longest ago. */
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
 * Holds itself to monotonic time. The first word of a key is its kind: names that somebody makes up push out no address.
 * @param longestMs of a key
 */
export function createThrottle(longestMs: (key: string) => number): Throttle {
  // In the order of their last failure.
  const kinds = new Map<string, Map<string, Failures>>();
  const knownBeside = (key: string): Map<string, Failures> => {
    const [kind = ""] = key.split(" ", 1);
    const known = kinds.get(kind) ?? new Map<string, Failures>();
    kinds.set(kind, known);
    return known;
  };

  const left = (key: string, mono: number): number => {
    const failures = knownBeside(key).get(key);
    if (failures === undefined || failures.count < FREE_FAILURES) return 0;
    const wait = Math.min(longestMs(key), FIRST_WAIT_MS * 2 ** (failures.count - FREE_FAILURES));
    return Math.max(0, failures.lastMono + wait - mono);
  };

  return {
    wait: (keys, mono) => Math.max(0, ...keys.map((key) => left(key, mono))),
    failed(keys, mono) {
      for (const key of keys) {
        const known = knownBeside(key);
        const before = known.get(key);
        const fresh = before === undefined || mono - before.lastMono > FORGOTTEN_AFTER_MS;
        known.delete(key);
        known.set(key, { count: fresh ? 1 : before.count + 1, lastMono: mono });
        for (const oldest of known.keys()) {
          if (known.size <= MOST_KEYS) break;
          known.delete(oldest);
        }
      }
    },
    succeeded(keys) {
      for (const key of keys) knownBeside(key).delete(key);
    },
  };
}
