import type { ReviewRun } from "../../model/review.js";

/** Milliseconds: times that are all at its full ones were written down to the hour, or as days. */
const HOUR = 3_600_000;

/** Two cuts do not begin in the same moment: what does was taken in twice, under another name. */
export function withoutCopies(runs: readonly ReviewRun[]): ReviewRun[] {
  const seen = new Set<string>();
  return runs.filter(({ id: _, name: __, ...rest }) => {
    if (rest.wall === null || rest.wall % HOUR === 0) return true;
    const key = JSON.stringify([rest, Object.entries(rest.conditions).sort(([a], [b]) => (a < b ? -1 : 1))]);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}
