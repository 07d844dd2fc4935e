import { createDeriver } from "../conditions/deriver.js";
import type { Instant } from "../model/instant.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunEnd, Stamp } from "../model/run.js";
import { closeStamp, openStamp, type StampRules, stampReading } from "./stamp.js";

/** How far before a run the readings must reach for the trend at its start to be the same again, milliseconds. */
export const REPLAY_LEAD_MS = 20 * 60 * 1000;

/**
 * Works a stamp out again from readings in the order they were kept: the last of each channel from before the lead,
 * then all from the lead to the end. The same readings give the same stamp as was frozen with the run.
 */
export function replayStamp(
  rules: StampRules,
  run: Run,
  readings: readonly Reading[],
  end: Instant,
  facts: Pick<Stamp, "clockAtEnd" | "opticsHours"> & { readonly endCause: RunEnd },
): Stamp {
  const deriver = createDeriver({ definitions: rules.definitions, coolantRange: rules.coolantRange });
  const latest = new Map<string, Reading>();
  const isBefore = (reading: Reading) => reading.at.mono <= run.startMono;
  for (const reading of readings.filter(isBefore)) {
    latest.set(reading.channel, reading);
    deriver.take(reading);
  }
  const fold = openStamp(rules, run.startMono, {
    latest: (channel) => latest.get(channel) ?? null,
    derived: deriver.current(),
    extraction: deriver.extraction().state,
  });
  for (const reading of readings) {
    if (isBefore(reading)) continue;
    if (reading.at.mono >= end.mono) break;
    const derived = deriver.take(reading);
    stampReading(fold, reading, derived, deriver.extraction().state);
  }
  return closeStamp(fold, rules, run, end, facts);
}
