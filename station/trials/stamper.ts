import type { Instant } from "../model/instant.js";
import type { Run, Stamp } from "../model/run.js";
import type { Arrival, RecentPast } from "./recent-past.js";
import {
  closeStamp,
  copyStamp,
  openStamp,
  type StampFacts,
  type StampFold,
  type StampRules,
  stampArrival,
} from "./stamp.js";

/** Works out the stamp of one run while it is open. */
export interface Stamper {
  /** To be given every arrival of the recent past that settles, in order. */
  settle(old: Arrival): void;
  /** Remembers how things stand at a moment at which the run may turn out to have ended; null forgets it. */
  mark(at: Instant | null): void;
  /**
   * The stamp for an end at `end`, which is moved up to what has settled should it be earlier than that. Asked again for the end
   * it gave, it has the late news of the run's time that has come since; `settle` is to be given what settles meanwhile.
   */
  close(run: Run, end: Instant, facts: StampFacts): { readonly stamp: Stamp; readonly end: Instant };
}

/** @param startMono no earlier than what has settled */
export function createStamper(rules: StampRules, startMono: number, past: RecentPast): Stamper {
  let fold: StampFold | null = null;
  let markAt: Instant | null = null;
  let marked: StampFold | null = null;

  // Opened as late as can be, so that late news of what was in force at the start still counts.
  const opened = (): StampFold => fold ?? openStamp(rules, startMono, past.at(startMono));

  return {
    settle(old) {
      const { mono } = old.reading.at;
      if (mono <= startMono) return;
      fold = opened();
      if (markAt !== null && marked === null && mono >= markAt.mono) marked = copyStamp(fold);
      stampArrival(fold, old);
      // News that came after the end and tells of before it: where the end is waited for longer than news may be late.
      if (markAt !== null && marked !== null && mono < markAt.mono) stampArrival(marked, old);
    },
    mark(at) {
      markAt = at;
      marked = null;
    },
    close(run, end, facts) {
      const base = copyStamp(markAt?.mono === end.mono && marked !== null ? marked : opened());
      const late = marked === null && end.mono <= past.settledMono() ? past.settledMono() + 1 - end.mono : 0;
      const last = { wall: end.wall + late, mono: end.mono + late };
      for (const each of past.unsettled()) {
        const { mono } = each.reading.at;
        if (mono > startMono && mono < last.mono) stampArrival(base, each);
      }
      if (markAt?.mono !== last.mono) {
        markAt = last;
        marked = null;
      }
      return { stamp: closeStamp(base, rules, run, last, facts), end: last };
    },
  };
}
