import type { PastRun } from "./past-run-schema.js";

export type { PastRun } from "./past-run-schema.js";

/** Columns of a spreadsheet of past runs that are conditions of the cut: what review may explain an outcome by. */
export const PAST_CONDITIONS = {
  coolant_C: "°C, of the coolant going in",
  room_C: "°C",
  humidity_pct: "% relative humidity of the room",
  airflow_1_min: "1/min, of the extraction's fan",
  hours_since_optics_cleaned: "hours",
  focus_error_mm: "mm, above 0 where the focus is too low in the sheet",
} as const;
export type PastCondition = keyof typeof PAST_CONDITIONS;

/** A cell that is not right: of the row that begins on this line. */
export interface BadCell {
  readonly line: number;
  readonly column: string;
  readonly found: string;
  readonly expected: string;
}

/** What an import of past runs came to, or would. */
export interface PastImport {
  readonly rows: number;
  /** At most 100; `badRows` says how many rows have one. */
  readonly bad: readonly BadCell[];
  readonly badRows: number;
  readonly conditions: readonly PastCondition[];
  /** Columns that are kept as notes. */
  readonly notes: readonly string[];
  /** Null where it was only tried, or a row is bad: then none is kept. */
  readonly kept: { readonly now: number; readonly before: number } | null;
  /** The first rows as they were understood. */
  readonly shown: readonly PastRun[];
}

/** A line of the column guide. */
export interface PastColumn {
  readonly name: string;
  readonly required: boolean;
  /** What is expected in its cells, for people. */
  readonly expected: string;
}
