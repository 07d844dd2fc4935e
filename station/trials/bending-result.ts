import type { PropertyId } from "../model/grade.js";
import type { BendingResult } from "../model/specimen.js";
import { type BentPiece, bendingModulus, bendingStrength, departures } from "./bending.js";

/** What was measured of a bending test; what is left out was not. */
export type BendingMeasures = Readonly<Partial<Record<PropertyId, number>>>;

/**
 * What a bending test comes to by EN 310, with what is still missing or contradicts itself; null where nothing of it was measured.
 * @param nominalMm thickness of the sheet, by which the standard chooses the span
 */
export function bendingResult(measures: BendingMeasures, nominalMm: number): BendingResult | null {
  if (!Object.keys(measures).some((id) => id.startsWith("bend_"))) return null;
  const piece = pieceOf(measures);
  if (piece === null) {
    return { strength: null, modulus: null, words: ["Span, width and thickness come first."] };
  }
  const words = departures(piece, nominalMm).map((each) => `Not as in the standard: ${each}.`);
  const most = measures.bend_break_N;
  const slope = slopeOf(measures);
  const rises = slope !== null && slope.highN > slope.lowN && slope.highMm > slope.lowMm;
  if (slope !== null && !rises)
    words.push("The higher load and its sag are to be above the lower ones: look at them again.");
  return {
    strength: most === undefined ? null : bendingStrength(piece, most),
    modulus: slope !== null && rises ? bendingModulus(piece, slope) : null,
    words,
  };
}

function pieceOf(measures: BendingMeasures): BentPiece | null {
  const { bend_span_mm, bend_width_mm, bend_thickness_mm } = measures;
  if (bend_span_mm === undefined || bend_width_mm === undefined || bend_thickness_mm === undefined)
    return null;
  return { spanMm: bend_span_mm, widthMm: bend_width_mm, thicknessMm: bend_thickness_mm };
}

function slopeOf({ bend_low_N, bend_high_N, bend_low_mm, bend_high_mm }: BendingMeasures) {
  if (bend_low_N === undefined || bend_high_N === undefined) return null;
  if (bend_low_mm === undefined || bend_high_mm === undefined) return null;
  return { lowN: bend_low_N, highN: bend_high_N, lowMm: bend_low_mm, highMm: bend_high_mm };
}
