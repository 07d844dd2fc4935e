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
/** So many bad readings in a row are an outage, and no plug that is loose. */
const OUTAGE_READINGS = 3;

export interface Answers {
  /** The readings of the window, oldest first. */
  readonly recent: readonly Reading[];
  /** `mono` of the last reading with a value, milliseconds; null for none yet. */
  readonly lastValueMono: number | null;
  /**
   * The sensor answers only now and then: at least a fifth of the window was bad, in two stretches or more (one alone is an
   * outage that is over, and one that the window has only the end of is not counted). It lasts until the whole window is good; or all
   * bad, when the sensor is plainly dead.
   */
  readonly faltering: boolean;
}

export const NO_ANSWERS: Answers = { recent: [], lastValueMono: null, faltering: false };

/**
 * Takes in a channel's latest reading; one that has been taken in before changes nothing. That nothing has been read yet is
 * no answer, but a "stale" is a bad one: the sensor was asked, and was silent.
 */
export function hear(before: Answers, reading: Reading | null): Answers {
  const latest = before.recent.at(-1);
  if (reading === null || reading.reason === "never-read") return before;
  if (latest !== undefined && isSame(latest, reading)) return before;
  const recent = windowed([...before.recent, reading]);
  return {
    recent,
    lastValueMono: isBad(reading) ? before.lastValueMono : reading.at.mono,
    faltering: falters(recent, before.faltering),
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

function falters(recent: readonly Reading[], before: boolean): boolean {
  const bad = recent.filter(isBad).length;
  if (bad === 0 || bad === recent.length) return false;
  if (before) return true;
  const since = outageAtStart(recent);
  const stretches = recent.filter(
    (reading, i) => i >= since && isBad(reading) && !isBad(recent[i - 1]),
  ).length;
  const counted = bad - since;
  return recent.length >= LEAST_READINGS && counted * BAD_ONE_IN >= recent.length && stretches >= 2;
}

/** How many readings of an outage the window begins with: it was told by itself, and one bad reading after it is one, and no fifth. */
function outageAtStart(recent: readonly Reading[]): number {
  const bad = recent.findIndex((reading) => !isBad(reading));
  return bad >= OUTAGE_READINGS ? bad : 0;
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
