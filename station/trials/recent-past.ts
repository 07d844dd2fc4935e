import type { DerivedValue } from "../conditions/deriver.js";
import type { Reading } from "../model/reading.js";

/** A reading with what followed from it when it came in. */
export interface Arrival {
  readonly reading: Reading;
  readonly derived: readonly DerivedValue[];
  readonly extraction: "running" | "stopped" | "unknown";
}

/** What was in force at a moment. */
export interface Standing {
  latest(channel: string): Reading | null;
  readonly derived: readonly DerivedValue[];
  readonly extraction: Arrival["extraction"];
}

export interface RecentPast {
  /** Takes an arrival in. `settle` is given each of those that have become old enough, in the order they came. */
  take(arrival: Arrival, settle: (old: Arrival) => void): void;
  /** How things stood at a moment no earlier than `settledMono`. */
  at(mono: number): Standing;
  /** What has not settled yet, in the order it came. */
  unsettled(): readonly Arrival[];
  /** Monotonic milliseconds of the newest that has settled; -Infinity before any. */
  settledMono(): number;
}

/**
 * Longest that news of a switch may be late: it is told only once the contact has stopped bouncing (5 s is the most that
 * can be set), and is then dated back to when it moved.
 */
export const LATEST_NEWS_MS = 15_000;

/**
 * Keeps the arrivals of the last seconds, so that a run whose beginning or end is learnt late is stamped over its true
 * window: from what was in force at its start, and without what came in after its end.
 */
export function createRecentPast(): RecentPast {
  const settled: Held = { latest: new Map(), derived: new Map(), extraction: "unknown" };
  let settledMono = Number.NEGATIVE_INFINITY;
  let recent: Arrival[] = [];

  return {
    take(arrival, settle) {
      recent.push(arrival);
      const oldest = arrival.reading.at.mono - LATEST_NEWS_MS;
      for (let next = recent[0]; next !== undefined && next.reading.at.mono < oldest; next = recent[0]) {
        settle(next);
        hold(settled, next);
        settledMono = Math.max(settledMono, next.reading.at.mono);
        recent = recent.slice(1);
      }
    },
    at(mono) {
      const held: Held = {
        latest: new Map(settled.latest),
        derived: new Map(settled.derived),
        extraction: settled.extraction,
      };
      for (const each of recent) if (each.reading.at.mono <= mono) hold(held, each);
      const { latest, derived, extraction } = held;
      return { latest: (channel) => latest.get(channel) ?? null, derived: [...derived.values()], extraction };
    },
    unsettled: () => recent,
    settledMono: () => settledMono,
  };
}

interface Held {
  readonly latest: Map<string, Reading>;
  readonly derived: Map<string, DerivedValue>;
  extraction: Arrival["extraction"];
}

function hold(held: Held, { reading, derived, extraction }: Arrival): void {
  held.latest.set(reading.channel, reading);
  for (const value of derived) held.derived.set(value.condition, value);
  held.extraction = extraction;
}
