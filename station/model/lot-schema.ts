import { z } from "zod";
import { textSchema } from "./channel.js";
import { STOCKS, type Stock } from "./lot.js";

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
