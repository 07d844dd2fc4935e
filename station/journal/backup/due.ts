const DAY_MS = 86_400_000;
const RETRY_AFTER_MS = 3_600_000;
/** A station that has just started has other things to do. */
const AFTER_START_MS = 120_000;

export interface DueFacts {
  readonly wall: number;
  readonly mono: number;
  readonly startedMono: number;
  /** Wall time of the last good backup; null without any. */
  readonly lastGoodWall: number | null;
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
 * after the start; one that failed is tried again after an hour.
 */
export function isDue({ wall, mono, startedMono, lastGoodWall, failedMono, at }: DueFacts): boolean {
  if (mono - startedMono < AFTER_START_MS) return false;
  if (failedMono !== null && mono - failedMono < RETRY_AFTER_MS) return false;
  return lastGoodWall === null || lastGoodWall < lastTimeOfDay(wall, at);
}

/** The first moment after `wall` at which the local clock shows `at`. */
export function nextTimeOfDay(wall: number, at: string): number {
  const last = new Date(lastTimeOfDay(wall, at));
  // By the calendar: a day on which the clocks are put forward or back has 23 or 25 hours.
  last.setDate(last.getDate() + 1);
  return last.getTime();
}
