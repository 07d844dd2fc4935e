import { z } from "zod";
import { textSchema } from "./channel.js";
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
const stocks = Object.keys(STOCKS) as [Stock, ...Stock[]];

const mm = (most: number) => z.number().gt(0).max(most);
const money = z.number().min(0).max(1e6);
const daySchema = z.iso.date("a day as YYYY-MM-DD");

/** A lot of sheets as the owner enters it. What is left out is not known; nothing is guessed. Money in the owner's currency. */
export const lotFactsSchema = z.strictObject({
  /** What the product is called where it is bought. */
  product: textSchema(80).min(1),
  stock: z.enum(stocks),
  supplier: textSchema(80).optional(),
  nominal_mm: mm(100),
  /** Measured at several points of one or more sheets. */
  thickness_mm: z.array(mm(100)).max(40).optional(),
  sheet_length_mm: mm(10_000).optional(),
  sheet_width_mm: mm(10_000).optional(),
  /** A piece that was weighed and measured, for the density. */
  piece_g: z.number().gt(0).max(1e6).optional(),
  piece_length_mm: mm(10_000).optional(),
  piece_width_mm: mm(10_000).optional(),
  sheet_price: money.optional(),
  /** Of the whole order. */
  delivery: money.optional(),
  sheets: z.int().min(1).max(10_000).optional(),
  /** Sheets that are the fewest the supplier sells at once. */
  minimum_order: z.int().min(1).max(10_000).optional(),
  received_on: daySchema.optional(),
  storage: textSchema(200).optional(),
  note: textSchema(1000).optional(),
});
export type LotFacts = z.infer<typeof lotFactsSchema>;

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
