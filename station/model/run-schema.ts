import { z } from "zod";
import { textSchema } from "./channel.js";

/** The settings of a cut, as the person enters them. Everything may be left out but nothing is guessed. */
export const runSettingsSchema = z.strictObject({
  material: textSchema(80).optional(),
  lot: textSchema(40).optional(),
  specimen: textSchema(40).optional(),
  /** Per cent of the tube's or driver's full scale. */
  power_pct: z.number().gt(0).max(100).optional(),
  speed_mm_s: z.number().gt(0).max(2000).optional(),
  passes: z.int().min(1).max(50).optional(),
  air_assist: z.enum(["off", "low", "high"]).optional(),
  /** Height of the spacer the focus was set with. */
  focus_spacer_mm: z.number().min(0).max(200).optional(),
  note: textSchema(500).optional(),
});
export type RunSettings = z.infer<typeof runSettingsSchema>;
