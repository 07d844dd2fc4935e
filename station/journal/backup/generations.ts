import type { Generation } from "../../model/backup.js";

/** How many backups to keep: the newest of each of so many days, weeks and months that have one. */
export interface Keep {
  readonly daily: number;
  readonly weekly: number;
  readonly monthly: number;
}

const DAY_MS = 86_400_000;
/** 1970-01-01 was a Thursday; weeks begin on Monday (ISO 8601). */
const MONDAY_OFFSET_DAYS = 3;

type Period = (wall: number) => number;
const day: Period = (wall) => Math.floor(wall / DAY_MS);
const week: Period = (wall) => Math.floor((day(wall) + MONDAY_OFFSET_DAYS) / 7);
const month: Period = (wall) => {
  const date = new Date(wall);
  return date.getUTCFullYear() * 12 + date.getUTCMonth();
};

/**
 * Which of these backups to keep, and as what; the newest always. Only periods that have a backup count, so that a station
 * which was off for a year still has those from before. Days, weeks and months are those of UTC. What is kept does not
 * depend on how often the rule has been applied before.
 * @param walls when each was made, milliseconds UTC, in any order
 */
export function generationsOf(
  walls: readonly number[],
  keep: Keep,
): ReadonlyMap<number, readonly Generation[]> {
  const newestFirst = [...walls].sort((a, b) => b - a);
  const kept = new Map<number, Generation[]>(newestFirst.slice(0, 1).map((wall) => [wall, []]));
  const rules: readonly (readonly [Generation, Period, number])[] = [
    ["day", day, keep.daily],
    ["week", week, keep.weekly],
    ["month", month, keep.monthly],
  ];
  for (const [generation, period, most] of rules) {
    const seen = new Set<number>();
    for (const wall of newestFirst) {
      if (seen.size >= most) break;
      if (!seen.has(period(wall))) kept.set(wall, [...(kept.get(wall) ?? []), generation]);
      seen.add(period(wall));
    }
  }
  return kept;
}
