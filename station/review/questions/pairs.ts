import type { ReviewRun } from "../../model/review.js";
import { type Stock, stocksOf } from "./stocks.js";

/** More than these nobody compares at once. */
const MOST_PAIRS = 28;

export interface StockPair {
  readonly first: Stock;
  readonly second: Stock;
}

/** Every two stocks that can be told from each other: materials with materials, and lots of one material with each other. */
export function pairsOf(runs: readonly ReviewRun[]): readonly StockPair[] {
  const stocks = stocksOf(runs);
  const pairs = stocks.flatMap((first, i) =>
    stocks
      .slice(i + 1)
      .flatMap((second): StockPair[] => (isKin(runs, first, second) ? [{ first, second }] : [])),
  );
  return pairs.slice(0, MOST_PAIRS);
}

/** Apart, and both materials or both lots of one. */
function isKin(runs: readonly ReviewRun[], first: Stock, second: Stock): boolean {
  if (runs.some((run) => first.of(run) && second.of(run))) return false;
  return isWhole(runs, first) ? isWhole(runs, second) : materialOf(runs, first) === materialOf(runs, second);
}

function materialOf(runs: readonly ReviewRun[], stock: Stock): string | null {
  return runs.find(stock.of)?.material ?? null;
}

function isWhole(runs: readonly ReviewRun[], stock: Stock): boolean {
  return materialOf(runs, stock) === stock.name;
}
