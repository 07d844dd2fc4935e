import type { ClockState } from "../../model/instant.js";

const DAY_MS = 86_400_000;
const RETRY_AFTER_MS = 3_600_000;
/** A station that has just started has other things to do. */
const AFTER_START_MS = 120_000;
/** A clock that is not set may be any time off: it is given an hour to be set, and then taken as it is. */
const AFTER_START_UNSET_MS = 3_600_000;
/** Clocks differ by so much where nothing is wrong. */
const SLACK_MS = 3_600_000;

/** Whether a backup is of a time to come: made by a clock that was wrong, then or now. */
export function isToCome(made: number, wall: number): boolean {
  return made > wall + SLACK_MS;
}

export interface DueFacts {
  readonly wall: number;
  readonly mono: number;
  readonly startedMono: number;
  readonly clock: ClockState;
  /** Wall times of the good backups that are there. */
  readonly goodWalls: readonly number[];
  /** Monotonic time of the last attempt that failed; null where the last one did not. */
  readonly failedMono: number | null;
  /** "HH:MM", local time. */
  readonly at: string;
}

/** The latest moment at or before `wall` at which the local clock showed `at`. */
export function lastTimeOfDay(wall: number, at: string): number {
  const [hours = 0, minutes = 0] = at.split(":").map(Number);
  for (const back of [0, DAY_MS]) {
    const date = new Date(wall - back);
    date.setHours(hours, minutes, 0, 0);
    if (date.getTime() <= wall) return date.getTime();
  }
  return wall - DAY_MS;
}

/**
 * Whether a backup is to be begun. One that was missed, because the workshop was switched off at night, is made up for soon
 * after the start; one that failed is tried again after an hour. One of a time to come was made by a clock that was wrong: it
 * would put off the next one until then, and so does not count.
 */
export function isDue({ wall, mono, clock, startedMono, goodWalls, failedMono, at }: DueFacts): boolean {
  const since = mono - startedMono;
  if (since < (clock === "not synchronised" ? AFTER_START_UNSET_MS : AFTER_START_MS)) return false;
  if (failedMono !== null && mono - failedMono < RETRY_AFTER_MS) return false;
  const last = Math.max(Number.NEGATIVE_INFINITY, ...goodWalls.filter((made) => !isToCome(made, wall)));
  return last < lastTimeOfDay(wall, at);
}

/** The first moment after `wall` at which the local clock shows `at`. */
export function nextTimeOfDay(wall: number, at: string): number {
  const last = new Date(lastTimeOfDay(wall, at));
  // By the calendar: a day on which the clocks are put forward or back has 23 or 25 hours.
  last.setDate(last.getDate() + 1);
  return last.getTime();
}
