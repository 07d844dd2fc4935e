import type { ReviewRun } from "../../../station/model/review.js";
import type { Stock } from "../../../station/review/questions/stocks.js";

export const DAY_MS = 86_400_000;
export const BEGIN = Date.UTC(2026, 2, 2, 9);

export const EVERY: Stock = { name: "Birch ply", n: 0, of: () => true };

export function cut(over: Partial<ReviewRun> & Pick<ReviewRun, "id">): ReviewRun {
  return {
    name: `Run ${over.id}`,
    wall: BEGIN,
    ...{ material: "Birch ply", lot: "A", block: null, power_pct: 60, passes: 1 },
    ...{ speed_mm_s: 20, through: true, grade: null, strength: null },
    conditions: { coolant_C: 20 },
    ...over,
  };
}

/** One cut that is through just below a speed and one that is not just above it, once a week. @param share of the speed that the first is cut at */
export function weekly(
  speeds: readonly number[],
  over: (session: number) => Partial<ReviewRun> = () => ({}),
  share = 0.98,
): ReviewRun[] {
  return speeds.flatMap((speed, session) =>
    [share, 1 / share].map((each, i) =>
      cut({
        id: `${session}-${i}`,
        wall: BEGIN + session * 7 * DAY_MS + i * 600_000,
        speed_mm_s: speed * each,
        through: each < 1,
        ...over(session),
      }),
    ),
  );
}
