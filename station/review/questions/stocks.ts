import type { ReviewRun } from "../../model/review.js";

/** What is bought and compared: a material, or one lot of it. */
export interface Stock {
  readonly name: string;
  /** Runs of it. */
  readonly n: number;
  readonly of: (run: ReviewRun) => boolean;
}

/** Whose runs are alike but for setting and conditions: its lot where that is known, else its material. Two stocks never share one. */
export function stockOf({ material, lot }: ReviewRun): string {
  return JSON.stringify([material, lot]);
}

/** What people call it. */
export function stockName({ material, lot }: ReviewRun): string {
  const sheet = material ?? "unknown stock";
  return lot === null ? sheet : `${sheet}, lot ${lot}`;
}

/**
 * Every material, and every lot of one that came in several, those with the most runs first.
 * Names are as the runs have them; a lot is called by its material and its own name.
 */
export function stocksOf(runs: readonly ReviewRun[]): readonly Stock[] {
  const told = runs.filter(({ material }) => material !== null);
  return [...countsOf(told, ({ material }) => material ?? "")].flatMap(([material, n]): Stock[] => {
    const its = told.filter((run) => run.material === material);
    const whole: Stock = { name: material, n, of: (run) => run.material === material };
    const lots = [...countsOf(its, ({ lot }) => lot ?? "")];
    if (lots.length < 2) return [whole];
    const parts = lots
      .filter(([lot]) => lot !== "")
      .map(
        ([lot, count]): Stock => ({
          name: stockName({ ...(its[0] as ReviewRun), lot }),
          n: count,
          of: (run) => run.material === material && run.lot === lot,
        }),
      );
    return [whole, ...parts];
  });
}

/** How often each name came, the most frequent first. */
function countsOf(runs: readonly ReviewRun[], nameOf: (run: ReviewRun) => string): Map<string, number> {
  const counts = new Map<string, number>();
  for (const run of runs) counts.set(nameOf(run), (counts.get(nameOf(run)) ?? 0) + 1);
  return new Map([...counts].sort(([a, n], [b, m]) => m - n || (a < b ? -1 : 1)));
}
