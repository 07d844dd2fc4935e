import { z } from "zod";
import { textSchema } from "./channel.js";
import { PAST_CONDITIONS, type PastCondition } from "./past-run.js";

/** A run from before the station, as a spreadsheet has it. What a cell does not say is not known. */
export const pastRunSchema = z.strictObject({
  run: textSchema(40).min(1),
  startedWall: z.int().nullable(),
  material: textSchema(80),
  lot: textSchema(40).nullable(),
  block: textSchema(40).nullable(),
  thickness_mm: z.number().nullable(),
  speed_mm_s: z.number(),
  power_pct: z.number(),
  passes: z.int(),
  through: z.boolean(),
  /** A place among the grades of “Cut through”; null where the sheet says no more than whether it was. */
  grade: z.int().min(0).max(3).nullable(),
  conditions: z.partialRecord(z.enum(Object.keys(PAST_CONDITIONS) as [PastCondition]), z.number()),
  /** By the column's name. */
  notes: z.record(z.string().max(80), z.string().max(500)),
});
export type PastRun = z.infer<typeof pastRunSchema>;
