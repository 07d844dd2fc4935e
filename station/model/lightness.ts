import { z } from "zod";

const side = z.int().min(0).max(20_000);
/** Of a photo as it is kept, in whole pixels from its upper left corner. */
const areaSchema = z.strictObject({ x: side, y: side, width: side.min(1), height: side.min(1) });
export type PhotoArea = z.infer<typeof areaSchema>;

/** What is measured on a photo, each the subject of a property of its own. */
export const LIGHTNESS_AREAS = { edge: "edge_L", residue: "residue_L", face: "face_L" } as const;
export type LightnessArea = keyof typeof LIGHTNESS_AREAS;

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

/** Mean CIE L* of an area, after the grey card. */
export interface MeasuredLightness {
  readonly lightness: number;
  /** Over the pixels: how uneven the area is, and not how exact its mean. */
  readonly sd: number;
  readonly n: number;
  readonly warnings: readonly string[];
}
export type MeasuredAreas = Readonly<Partial<Record<LightnessArea, MeasuredLightness>>>;
