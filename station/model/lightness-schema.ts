import { z } from "zod";
import { LIGHTNESS_AREAS, type LightnessArea } from "./lightness.js";

const side = z.int().min(0).max(20_000);
/** Of a photo as it is kept, in whole pixels from its upper left corner. */
const areaSchema = z.strictObject({ x: side, y: side, width: side.min(1), height: side.min(1) });
export type PhotoArea = z.infer<typeof areaSchema>;

export const lightnessSchema = z.strictObject({
  /** Patches of the grey card with their known CIE L*. */
  card: z
    .array(areaSchema.extend({ known: z.number().gt(0).max(100) }))
    .min(1)
    .max(6),
  areas: z
    .partialRecord(z.enum(Object.keys(LIGHTNESS_AREAS) as [LightnessArea]), areaSchema)
    .refine((areas) => Object.keys(areas).length > 0, "one area or more"),
});
export type LightnessAsked = z.infer<typeof lightnessSchema>;
