import type { ReviewRun } from "../../model/review.js";
import { counted } from "../counted.js";
import type { FirthTerm } from "../firth-design.js";
import { withoutCopies } from "./copies.js";
import { stockOf } from "./stocks.js";

/** A run whose setting and outcome are known. */
export type JudgedRun = ReviewRun & { readonly speed_mm_s: number; readonly through: boolean };

/** What every fit has beside what is asked about, made of the runs it is given. */
export interface Base {
  readonly runs: readonly JudgedRun[];
  /** What is in every fit: the terms of the settings, and a step for each stock but the first. */
  readonly termsOf: (runs: readonly JudgedRun[]) => FirthTerm[];
  /** The logarithm of the speed, and of power and passes where they were varied. */
  readonly settingTermsOf: (runs: readonly JudgedRun[]) => FirthTerm[];
  /** Runs with one of these share a step: their lot, or their material where lots are too many to be told apart. */
  readonly stockKey: (run: JudgedRun) => string;
  readonly warnings: readonly string[];
  /** What to think of the stocks' steps. */
  readonly stockWarnings: readonly string[];
}

export const SPEED = "log speed";
/** Runs to a stock, on the mean: with fewer, telling every lot apart would leave nothing to judge by. */
const RUNS_PER_STOCK = 6;
/** More of them take seconds, and tell no more than their materials. */
const MOST_STOCKS = 12;
/** So many are told apart however few their runs are. */
const FEW_STOCKS = 3;

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
  const settingTermsOf: Base["settingTermsOf"] = (some) => [
    { name: SPEED, values: some.map(({ speed_mm_s }) => Math.log(speed_mm_s)) },
    ...settings.map(({ name, of }) => ({ name, values: some.map((run) => Math.log(of(run) as number)) })),
  ];
  const { stockKey, stockWarnings } = stocksApart(runs);
  return {
    ...{ runs, warnings, settingTermsOf, stockKey, stockWarnings },
    termsOf(some) {
      const stocks = [...new Set(some.map(stockKey))].sort().slice(1);
      return [
        ...settingTermsOf(some),
        ...stocks.map((stock) => ({
          name: `stock ${stock}`,
          values: some.map((run) => (stockKey(run) === stock ? 1 : 0)),
        })),
      ];
    },
  };
}

/** How finely stocks are told apart. */
function stocksApart(runs: readonly JudgedRun[]): Pick<Base, "stockKey" | "stockWarnings"> {
  const stockWarnings: string[] = [];
  const isFew = (stocks: number) => stocks * RUNS_PER_STOCK <= runs.length && stocks <= MOST_STOCKS;
  const material = ({ material: its }: ReviewRun) => its ?? "";
  const [lots, materials] = [new Set(runs.map(stockOf)).size, new Set(runs.map(material)).size];
  const byLot = isFew(lots);
  if (!byLot && lots > materials)
    stockWarnings.push(
      "The lots are too many or have too few runs each to be told apart: only materials are.",
    );
  const isApart = byLot || isFew(materials) || materials <= FEW_STOCKS;
  if (!isApart)
    stockWarnings.push(
      "The materials are too many or have too few runs each to be told apart: all count as one.",
    );
  const unknown = runs.filter((run) => run.material === null).length;
  if (unknown > 0)
    stockWarnings.push(`Of ${counted(unknown, "run")} the material is not known: they count as one stock.`);
  return { stockKey: byLot ? stockOf : isApart ? material : () => "", stockWarnings };
}

function isAbove(value: number | null): value is number {
  return value !== null && Number.isFinite(value) && value > 0;
}
