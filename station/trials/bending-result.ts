import type { BendingResult, Grades } from "../model/specimen.js";
import { type BentPiece, bendingModulus, bendingStrength, departures } from "./bending.js";

/**
 * What a bending test comes to by EN 310, with what is still missing or contradicts itself; null where nothing of it was measured.
 * @param grades of one grading
 * @param nominalMm thickness of the sheet, by which the standard chooses the span
 */
export function bendingResult(grades: Grades, nominalMm: number): BendingResult | null {
  if (!Object.keys(grades).some((id) => id.startsWith("bend_"))) return null;
  const piece = pieceOf(grades);
  if (piece === null) {
    return {
      strength: null,
      modulus: null,
      departures: [],
      words: ["Span, width and thickness come first."],
    };
  }
  const most = grades.bend_break_N?.value;
  const slope = slopeOf(grades);
  const rises = slope !== null && slope.highN > slope.lowN && slope.highMm > slope.lowMm;
  return {
    strength: most === undefined ? null : bendingStrength(piece, most),
    modulus: slope !== null && rises ? bendingModulus(piece, slope) : null,
    departures: departures(piece, nominalMm),
    words:
      slope !== null && !rises
        ? ["The higher load and its sag are to be above the lower ones: look at them again."]
        : [],
  };
}

function pieceOf({ bend_span_mm, bend_width_mm, bend_thickness_mm }: Grades): BentPiece | null {
  if (bend_span_mm === undefined || bend_width_mm === undefined || bend_thickness_mm === undefined)
    return null;
  return { spanMm: bend_span_mm.value, widthMm: bend_width_mm.value, thicknessMm: bend_thickness_mm.value };
}

function slopeOf({ bend_low_N, bend_high_N, bend_low_mm, bend_high_mm }: Grades) {
  if (bend_low_N === undefined || bend_high_N === undefined) return null;
  if (bend_low_mm === undefined || bend_high_mm === undefined) return null;
  return {
    lowN: bend_low_N.value,
    highN: bend_high_N.value,
    lowMm: bend_low_mm.value,
    highMm: bend_high_mm.value,
  };
}
