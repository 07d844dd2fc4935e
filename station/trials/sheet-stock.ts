/** Of measured values: their number, mean and sample standard deviation; the last null for fewer than two. */
export interface Measured {
  readonly n: number;
  readonly mean: number;
  readonly sd: number | null;
  readonly least: number;
  readonly most: number;
}

/**
 * Thickness, or anything else that is measured at several points.
 * @throws RangeError for none, or one that is not a number above 0
 */
export function measured(values: readonly number[]): Measured {
  if (values.length === 0 || !values.every((value) => value > 0 && Number.isFinite(value))) {
    throw new RangeError("Measured values are one or more, each above 0.");
  }
  const n = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return {
    n,
    mean,
    sd: n < 2 ? null : Math.sqrt(squares / (n - 1)),
    least: Math.min(...values),
    most: Math.max(...values),
  };
}

/**
 * Density after EN 323:1993, "Wood-based panels. Determination of density": mass over volume, in kg/m³ (from memory of the
 * standard, whose test pieces are squares of 50 mm; a whole sheet will do as well, if it is measured as carefully).
 * @param massG in g
 * @param sidesMm of the piece, mm
 * @throws RangeError where one is not above 0
 */
export function density(massG: number, sidesMm: readonly [number, number], thicknessMm: number): number {
  const [length, width] = sidesMm;
  if (!(massG > 0 && length > 0 && width > 0 && thicknessMm > 0)) {
    throw new RangeError("Mass, sides and thickness of a piece are above 0.");
  }
  return (massG / (length * width * thicknessMm)) * 1e6;
}
