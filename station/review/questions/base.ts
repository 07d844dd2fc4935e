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

/**
 * Runs that can be judged, and the terms of their settings and stocks. A setting that is not known in every run is not filled in: where
 * it was varied, runs without it are left out and counted.
 */
export function baseOf(all: readonly ReviewRun[]): Base {
  const warnings: string[] = [];
  const told = all.filter((run): run is JudgedRun => run.through !== null && isAbove(run.speed_mm_s));
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
  const untold = all.length - told.length;
  if (untold > 0)
    warnings.push(`Left out: ${counted(untold, "run")} of which speed or outcome is not known.`);
  const byLot = new Set(runs.map(stockOf)).size * RUNS_PER_STOCK <= runs.length;
  if (!byLot && new Set(runs.map(stockOf)).size > 1)
    warnings.push("The lots have too few runs each to be told apart: only materials are.");
  const stockName = byLot ? stockOf : ({ material }: ReviewRun) => material ?? "";
  return {
    runs,
    warnings,
    termsOf(some) {
      const stocks = [...new Set(some.map(stockName))].sort().slice(1);
      return [
        { name: SPEED, values: some.map(({ speed_mm_s }) => Math.log(speed_mm_s)) },
        ...settings.map(({ name, of }) => ({ name, values: some.map((run) => Math.log(of(run) as number)) })),
        ...stocks.map((stock) => ({
          name: `stock ${stock}`,
          values: some.map((run) => (stockName(run) === stock ? 1 : 0)),
        })),
      ];
    },
  };
}

export function counted(n: number, piece: string): string {
  return `${n} ${piece}${n === 1 ? "" : "s"}`;
}

function isAbove(value: number | null): value is number {
  return value !== null && Number.isFinite(value) && value > 0;
}
