import type { LotFacts } from "./lot-schema.js";
import type { PhotoRow } from "./photo.js";

/** What a sheet is made of, in the trade's words. */
export const STOCKS = {
  mdf: "MDF",
  plywood: "Plywood",
  hardboard: "Hardboard",
  "solid-wood": "Solid wood",
  "cast-acrylic": "Cast acrylic",
  "extruded-acrylic": "Extruded acrylic",
  card: "Card or paperboard",
  other: "Something else",
} as const;
export type Stock = keyof typeof STOCKS;
export type { LotFacts } from "./lot-schema.js";

export interface Lot {
  readonly id: string;
  /** Counts up from 1 in this journal: "L3" is what people call the lot. */
  readonly number: number;
  readonly facts: LotFacts;
  readonly addedWall: number;
}

/** What was measured at several points. */
export interface MeasuredFact {
  readonly n: number;
  readonly mean: number;
  /** Sample standard deviation; null for fewer than two. */
  readonly sd: number | null;
  readonly least: number;
  readonly most: number;
}

/** A lot with what the station works out from it. */
export interface LotView extends Lot {
  readonly name: string;
  readonly thickness: MeasuredFact | null;
  /** kg/m³, after EN 323; null where something of it is not known. */
  readonly density: number | null;
  /** Why it must not be cut, or what to look at first; the most serious first. */
  readonly cautions: readonly { readonly headline: string; readonly never: boolean }[];
  /** Against the lot of the same stock that came before it: sentences with both figures; null where it is the first. */
  readonly sinceLast: { readonly lot: string; readonly differences: readonly string[] } | null;
  readonly photos: readonly PhotoRow[];
}

/** "L3": short enough for a label and a log. */
export function lotMark({ number }: Pick<Lot, "number">): string {
  return `L${number}`;
}
