import type { ReviewRun } from "../../model/review.js";
import type { FirthTerm } from "../firth-design.js";
import { stockOf } from "./stocks.js";

/** A run whose setting and outcome are known. */
export type JudgedRun = ReviewRun & { readonly speed_mm_s: number; readonly through: boolean };

/** What every fit has beside what is asked about, made of the runs it is given. */
export interface Base {
  readonly runs: readonly JudgedRun[];
  /** The logarithm of the speed, of power and passes where they were varied, and a step for each stock but the first. */
  readonly termsOf: (runs: readonly JudgedRun[]) => FirthTerm[];
  readonly warnings: readonly string[];
}

export const SPEED = "log speed";
/** Runs to a stock, on the mean: with fewer, telling every lot apart would leave nothing to judge by. */
const RUNS_PER_STOCK = 6;
/** More of them take seconds, and tell no more than their materials. */
const MOST_STOCKS = 12;
/** Milliseconds: times that are all at its full ones were written down to the hour, or as days. */
const HOUR = 3_600_000;

/**
 * Runs that can be judged, and the terms of their settings and stocks. A setting that is not known in every run is not filled in: where
 * it was varied, runs without it are left out and counted. A run that is there twice counts once.
 * @throws RangeError where two runs have one id
 */
export function baseOf(all: readonly ReviewRun[]): Base {
  const warnings: string[] = [];
  const ids = new Set<string>();
  for (const { id } of all) {
    if (ids.has(id)) throw new RangeError(`Two runs have the id "${id}": each has its own.`);
    ids.add(id);
  }
  const once = withoutCopies(all);
  if (once.length < all.length)
    warnings.push(
      `Left out: ${counted(all.length - once.length, "run")} that began at the same moment as another and is like it in all that is known.`,
    );
  const told = once.filter((run): run is JudgedRun => run.through !== null && isAbove(run.speed_mm_s));
  const varies = (of: (run: ReviewRun) => number | null) =>
    new Set(told.map(of).filter((value) => isAbove(value))).size > 1;
  const settings = [
    { name: "log power", word: "power", of: (run: ReviewRun) => run.power_pct },
    { name: "log passes", word: "number of passes", of: (run: ReviewRun) => run.passes },
  ].filter(({ of }) => varies(of));
  const runs = told.filter((run) => settings.every(({ of }) => isAbove(of(run))));
  if (runs.length < told.length)
    warnings.push(
      `Left out: ${counted(told.length - runs.length, "run")} without ${settings.map(({ word }) => word).join(" or ")}, which was varied.`,
    );
  const untold = once.length - told.length;
  if (untold > 0)
    warnings.push(`Left out: ${counted(untold, "run")} of which speed or outcome is not known.`);
  const isFew = (stocks: number) => stocks * RUNS_PER_STOCK <= runs.length && stocks <= MOST_STOCKS;
  const material = ({ material: its }: ReviewRun) => its ?? "";
  const [lots, materials] = [new Set(runs.map(stockOf)).size, new Set(runs.map(material)).size];
  const byLot = isFew(lots);
  if (!byLot && lots > materials)
    warnings.push("The lots are too many or have too few runs each to be told apart: only materials are.");
  const isApart = byLot || isFew(materials) || materials <= 3;
  if (!isApart)
    warnings.push("The materials are too many or have too few runs each to be told apart: all count as one.");
  const stockKey = byLot ? stockOf : isApart ? material : () => "";
  const unknown = runs.filter((run) => run.material === null).length;
  if (unknown > 0)
    warnings.push(`Of ${counted(unknown, "run")} the material is not known: they count as one stock.`);
  return {
    runs,
    warnings,
    termsOf(some) {
      const stocks = [...new Set(some.map(stockKey))].sort().slice(1);
      return [
        { name: SPEED, values: some.map(({ speed_mm_s }) => Math.log(speed_mm_s)) },
        ...settings.map(({ name, of }) => ({ name, values: some.map((run) => Math.log(of(run) as number)) })),
        ...stocks.map((stock) => ({
          name: `stock ${stock}`,
          values: some.map((run) => (stockKey(run) === stock ? 1 : 0)),
        })),
      ];
    },
  };
}

/** Two cuts do not begin in the same moment: what does was taken in twice, under another name. */
function withoutCopies(runs: readonly ReviewRun[]): ReviewRun[] {
  const seen = new Set<string>();
  return runs.filter(({ id: _, name: __, ...rest }) => {
    if (rest.wall === null || rest.wall % HOUR === 0) return true;
    const key = JSON.stringify([rest, Object.entries(rest.conditions).sort(([a], [b]) => (a < b ? -1 : 1))]);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

export function counted(n: number, piece: string): string {
  return `${n} ${piece}${n === 1 ? "" : "s"}`;
}

function isAbove(value: number | null): value is number {
  return value !== null && Number.isFinite(value) && value > 0;
}
