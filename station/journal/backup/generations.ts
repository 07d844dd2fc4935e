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
 * Which of these backups to keep; the newest always. Only periods that have a backup count, so that a station which was
 * off for a year still has those from before. Days, weeks and months are those of UTC. What is kept does not depend on
 * how often the rule has been applied before.
 * @param walls when each was made, milliseconds UTC, in any order
 */
export function keptGenerations(walls: readonly number[], keep: Keep): ReadonlySet<number> {
  const newestFirst = [...walls].sort((a, b) => b - a);
  const kept = new Set<number>(newestFirst.slice(0, 1));
  const rules: readonly (readonly [Period, number])[] = [
    [day, keep.daily],
    [week, keep.weekly],
    [month, keep.monthly],
  ];
  for (const [period, most] of rules) {
    const seen = new Set<number>();
    for (const wall of newestFirst) {
      if (seen.size >= most) break;
      if (!seen.has(period(wall))) kept.add(wall);
      seen.add(period(wall));
    }
  }
  return kept;
}
