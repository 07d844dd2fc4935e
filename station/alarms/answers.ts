import { REASONS, type Reading } from "../model/reading.js";

/**
 * How a sensor has answered of late. A probe with a loose plug gives good and bad readings by turns: each bad stretch is
 * too short to call the sensor dead, and yet it cannot be relied on.
 *
 * All figures are this station's choice (common practice, no source).
 */

/** The window reaches back this far from the latest reading, ms, ... */
const WINDOW_MS = 30_000;
/** ... but holds at least this many readings, and a sensor is not judged by fewer, ... */
const LEAST_READINGS = 5;
/** ... and at most this many, which bounds the memory of a channel that is read more than four times a second. */
const MOST_READINGS = 120;
/** From one bad reading in so many on, a sensor answers only now and then. */
const BAD_ONE_IN = 5;

export interface Answers {
  /** The readings of the window, oldest first. */
  readonly recent: readonly Reading[];
  /** `mono` of the last reading with a value, milliseconds; null for none yet. */
  readonly lastValueMono: number | null;
  /** `mono` of the last reading of the latest outage, in which every reading of a window was bad, milliseconds; null for none. */
  readonly outageMono: number | null;
  /**
   * The sensor answers only now and then: at least a fifth of the window was bad, in two stretches or more (one alone is an
   * outage that is over, and what was out for a whole window was told by itself, and is not counted). It lasts until the whole window is good; or all
   * bad, when the sensor is plainly dead.
   */
  readonly faltering: boolean;
}

export const NO_ANSWERS: Answers = { recent: [], lastValueMono: null, outageMono: null, faltering: false };

/**
 * Takes in a channel's latest reading; one that has been taken in before changes nothing. That nothing has been read yet is
 * no answer, but a "stale" is a bad one: the sensor was asked, and was silent.
 */
export function hear(before: Answers, reading: Reading | null): Answers {
  const latest = before.recent.at(-1);
  if (reading === null || reading.reason === "never-read") return before;
  if (latest !== undefined && isSame(latest, reading)) return before;
  const recent = windowed([...before.recent, reading]);
  const out = recent.length >= LEAST_READINGS && recent.every(isBad);
  const outageMono = out ? reading.at.mono : before.outageMono;
  return {
    recent,
    outageMono,
    lastValueMono: isBad(reading) ? before.lastValueMono : reading.at.mono,
    faltering: falters(recent, outageMono, before.faltering),
  };
}

/** "answers only now and then: 7 of the last 15 readings were bad (its checksum was wrong)" */
export function falteringWords({ recent }: Answers): string {
  const bad = recent.filter(isBad);
  const reason = bad.at(-1)?.reason ?? null;
  const why = reason === null ? "" : ` (${REASONS[reason].text})`;
  const were = bad.length === 1 ? "was" : "were";
  return `answers only now and then: ${bad.length} of the last ${recent.length} readings ${were} bad${why}`;
}

function falters(window: readonly Reading[], outageMono: number | null, before: boolean): boolean {
  const bad = window.filter(isBad).length;
  if (bad === 0 || bad === window.length) return false;
  if (before) return true;
  // Else one bad reading soon after an outage would be the second stretch, and the outage alone a fifth.
  const since = window.filter(({ at }) => outageMono === null || at.mono > outageMono);
  const badSince = since.filter(isBad).length;
  const stretches = since.filter((reading, i) => isBad(reading) && !isBad(since[i - 1])).length;
  return since.length >= LEAST_READINGS && badSince * BAD_ONE_IN >= since.length && stretches >= 2;
}

function windowed(readings: readonly Reading[]): readonly Reading[] {
  const from = (readings.at(-1)?.at.mono ?? 0) - WINDOW_MS;
  const inTime = readings.filter(({ at }) => at.mono > from).length;
  return readings.slice(-Math.min(MOST_READINGS, Math.max(LEAST_READINGS, inTime)));
}

function isBad(reading: Reading | undefined): boolean {
  return reading !== undefined && (reading.quality === "bad" || reading.value === null);
}

/** As where readings are judged: two that differ are two, even within one millisecond. */
function isSame(a: Reading, b: Reading): boolean {
  return a.at.mono === b.at.mono && a.value === b.value && a.reason === b.reason;
}
