import { z } from "zod";
import { textSchema } from "./channel.js";

const mm = (most: number) => z.number().gt(0).max(most);
const money = z.number().min(0).max(1e5);

/** What the owner says once of machine and shop, and may change: what focus and cost are reckoned with. Nothing is guessed. */
export const workshopFactsSchema = z.strictObject({
  /** Before or behind a sum: "€", "kr". */
  currency: textSchema(8).optional(),
  lens_focal_mm: mm(500).optional(),
  beam_mm: mm(50).optional(),
  /** The beam propagation ratio M², 1 or more; where it is not known 1.2 is usual of small tubes (common practice, no source). */
  m2: z.number().min(1).max(20).optional(),
  /** The spacer that is right for a sheet of this thickness. */
  spacer_mm: z.number().min(0).max(200).optional(),
  spacer_for_mm: mm(100).optional(),
  /** Where the waist is to be, as a share of the thickness below the face: 0 the face, 0.5 the middle. */
  focus_depth_share: z.number().min(0).max(1).optional(),
  part_length_mm: mm(10_000).optional(),
  part_width_mm: mm(10_000).optional(),
  gap_mm: z.number().min(0).max(100).optional(),
  edge_mm: z.number().min(0).max(500).optional(),
  /** All that is cut for one part. */
  cut_length_mm: mm(1e6).optional(),
  /** Of laser, and of the owner's own time. */
  laser_per_min: money.optional(),
  finishing_per_min: money.optional(),
  order_sheets: z.int().min(1).max(10_000).optional(),
  /** By how much slower than the fastest speed found the settings sheet stays. */
  margin_pct: z.number().min(0).max(90).optional(),
});
export type WorkshopFacts = z.infer<typeof workshopFactsSchema>;

/** What a lens does, of the facts. */
export interface FocusView {
  readonly spotMm: number;
  readonly rayleighMm: number;
  /** From end to end. */
  readonly depthMm: number;
}

/** For a lot: the spacer, and how far off the last lot's setting would be. */
export interface LotFocus {
  readonly lot: string;
  readonly spacerMm: number | null;
  /** With the head as it was set for the first of the lots asked for; null where something is not known. */
  readonly errorMm: number | null;
  readonly inFocus: boolean | null;
  readonly sentence: string;
}
