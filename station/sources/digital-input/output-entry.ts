import { z } from "zod";
import { chipSchema, lineSchema } from "./entry.js";

/** A lamp or a sounder. Nothing that makes the machine safe or unsafe may hang on it. */
export const digitalOutputEntrySchema = z.strictObject({
  chip: chipSchema.optional(),
  line: lineSchema,
  active_low: z.boolean().default(false),
});
export type DigitalOutputEntry = z.infer<typeof digitalOutputEntrySchema>;
