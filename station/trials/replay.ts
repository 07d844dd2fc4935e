import { createDeriver } from "../conditions/deriver.js";
import type { Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { Run, Stamp } from "../model/run.js";
import { createRecentPast } from "./recent-past.js";
import type { StampFacts, StampRules } from "./stamp.js";
import { createStamper } from "./stamper.js";

/** How far before a run the readings must reach for the trend at its start to be the same again, milliseconds. */
export const REPLAY_LEAD_MS = 20 * 60 * 1000;

export interface Replay {
  /** To be given the readings in the order they were kept. */
  take(reading: Reading): void;
  /** The moment of the newest reading taken so far; null before any that is later than the run's start. */
  newest(): Instant | null;
  close(end: Instant, facts: StampFacts): Stamp;
}

/**
 * Works the stamp of a run out again from its readings: the last of each channel from before the lead, then all from the
 * lead on. The same readings give the same stamp as was frozen with the run.
 */
export function createReplay(rules: StampRules, run: Run): Replay {
  const deriver = createDeriver({ definitions: rules.definitions, coolantRange: rules.coolantRange });
  const past = createRecentPast();
  const stamper = createStamper(rules, run.startMono, past);
  let newest: Instant | null = null;
  return {
    take(reading) {
      const derived = deriver.take(reading);
      past.take({ reading, derived, extraction: deriver.extraction().state }, stamper.settle);
      if (reading.at.mono > (newest?.mono ?? run.startMono)) newest = reading.at;
    },
    newest: () => newest,
    close: (end, facts) => stamper.close(run, end, facts).stamp,
  };
}
