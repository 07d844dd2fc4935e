import type { BadRunAnswer, ConditionsAnswer, DriftAnswer, MaterialsAnswer, ReviewRow } from "./review.js";

/** A run that was not cut through, in a list. */
export interface BadRunRow {
  readonly id: string;
  readonly name: string;
  readonly wall: number | null;
  readonly material: string | null;
  readonly lot: string | null;
  readonly speed_mm_s: number | null;
  readonly power_pct: number | null;
  readonly passes: number | null;
  /** Whether it is from before the station, and has no page of its own. */
  readonly past: boolean;
}

/** A stock that can be asked about. */
export interface StockRow {
  readonly name: string;
  readonly n: number;
}

/** What stands beside every answer: of the runs that were taken, and what of them was left out. */
interface Told {
  readonly warnings: readonly string[];
}

export interface ReviewOverview extends Told {
  /** All that were looked at, with an outcome or without. */
  readonly runs: number;
  readonly answer: ConditionsAnswer;
  /** Newest first. */
  readonly badRuns: readonly BadRunRow[];
  readonly stocks: readonly StockRow[];
}

export interface BadRunView extends Told {
  readonly answer: BadRunAnswer;
  readonly about: BadRunRow;
  /** °C, that its stamp was judged by; null where it has none. */
  readonly coolantRange: { readonly low: number; readonly high: number } | null;
}

/** What a good part of each of two lots of one plan costs, by that plan. */
export interface StockCosts {
  readonly plan: { readonly id: string; readonly mark: string; readonly title: string };
  readonly sentences: readonly string[];
}

export interface MaterialsView extends Told {
  readonly answer: MaterialsAnswer;
  readonly costs: StockCosts | null;
  readonly stocks: readonly StockRow[];
}

export interface DriftView extends Told {
  readonly answer: DriftAnswer;
  readonly stocks: readonly StockRow[];
}

/** For the command line. */
export interface ReviewRows extends Told {
  readonly runs: number;
  /** Of all runs. */
  readonly names: readonly string[];
  readonly rows: readonly ReviewRow[];
}
