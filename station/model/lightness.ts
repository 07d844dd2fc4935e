import type { LightnessAsked, PhotoArea } from "./lightness-schema.js";

export type { LightnessAsked, PhotoArea };

/** What is measured on a photo, each the subject of a property of its own. */
export const LIGHTNESS_AREAS = { edge: "edge_L", residue: "residue_L", face: "face_L" } as const;
export type LightnessArea = keyof typeof LIGHTNESS_AREAS;

/** Mean CIE L* of an area, after the grey card. */
export interface MeasuredLightness {
  readonly lightness: number;
  /** Over the pixels: how uneven the area is, and not how exact its mean. */
  readonly sd: number;
  readonly n: number;
  readonly warnings: readonly string[];
}
export type MeasuredAreas = Readonly<Partial<Record<LightnessArea, MeasuredLightness>>>;
