/**
 * Three-point bending after EN 310:1993, "Wood-based panels. Determination of modulus of elasticity in bending and of bending
 * strength" (formulas and sizes from memory of the standard). N, mm and N/mm² throughout.
 */

export interface BentPiece {
  /** Between the supports. */
  readonly spanMm: number;
  readonly widthMm: number;
  readonly thicknessMm: number;
}

/** Two points of the straight part of load against deflection. */
export interface BendingSlope {
  readonly lowN: number;
  readonly highN: number;
  /** At the middle of the span. */
  readonly lowMm: number;
  readonly highMm: number;
}

/**
 * The bending strength (modulus of rupture): 3 F l / (2 b t²), in N/mm².
 * @param mostN the load at which it broke
 * @throws RangeError where a size is not above 0, or the load below it
 */
export function bendingStrength({ spanMm, widthMm, thicknessMm }: BentPiece, mostN: number): number {
  requireSizes({ spanMm, widthMm, thicknessMm });
  if (!(mostN >= 0)) throw new RangeError("The load at which a piece broke is 0 N or more.");
  return (3 * mostN * spanMm) / (2 * widthMm * thicknessMm ** 2);
}

/**
 * The modulus of elasticity in bending: l³ ΔF / (4 b t³ Δa), in N/mm². It is an apparent one, which has shear in it.
 * @throws RangeError where a size is not above 0, or load and deflection do not both rise
 */
export function bendingModulus(
  { spanMm, widthMm, thicknessMm }: BentPiece,
  { lowN, highN, lowMm, highMm }: BendingSlope,
): number {
  requireSizes({ spanMm, widthMm, thicknessMm });
  if (!(highN > lowN && highMm > lowMm)) {
    throw new RangeError("Of two points of load and deflection the second has more of both.");
  }
  return (spanMm ** 3 * (highN - lowN)) / (4 * widthMm * thicknessMm ** 3 * (highMm - lowMm));
}

function requireSizes({ spanMm, widthMm, thicknessMm }: BentPiece): void {
  if (!(spanMm > 0 && widthMm > 0 && thicknessMm > 0)) {
    throw new RangeError("Span, width and thickness of a bent piece are above 0 mm.");
  }
}

const WIDTH_MM = 50;
const WIDTH_TOLERANCE_MM = 1;
const THINNEST_MM = 3;
const SPANS = 20;
const [LEAST_SPAN_MM, MOST_SPAN_MM] = [100, 1000];
const SPAN_TOLERANCE_MM = 1;

/** The span of the standard: twenty times the nominal thickness, 100 mm at least and 1000 at most. */
export function standardSpanMm(nominalMm: number): number {
  return Math.min(MOST_SPAN_MM, Math.max(LEAST_SPAN_MM, SPANS * nominalMm));
}

/**
 * In what a piece is not one of the standard, in words; none where it is. Its figures compare with those of pieces of the same
 * sizes all the same, not with those of a data sheet.
 */
export function departures(piece: BentPiece, nominalMm: number): string[] {
  const span = standardSpanMm(nominalMm);
  const found: string[] = [];
  if (nominalMm < THINNEST_MM) found.push(`EN 310 is for boards of ${THINNEST_MM} mm and more`);
  if (Math.abs(piece.widthMm - WIDTH_MM) > WIDTH_TOLERANCE_MM) {
    found.push(`it is ${shown(piece.widthMm)} mm wide, in EN 310 ${WIDTH_MM} mm`);
  }
  if (Math.abs(piece.spanMm - span) > SPAN_TOLERANCE_MM) {
    found.push(`the span is ${shown(piece.spanMm)} mm, in EN 310 ${shown(span)} mm for this thickness`);
  }
  return found;
}

function shown(mm: number): string {
  return String(Math.round(mm * 10) / 10);
}
