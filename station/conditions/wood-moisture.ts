/**
 * Range of air temperatures, °C, of the handbook's table 4-2 (30 to 270 °F); the equation is not used outside it.
 */
export const WOOD_RANGE_C = { low: -1.2, high: 132.3 } as const;

/**
 * Equilibrium moisture content of wood, % of its oven-dry mass: what solid wood left long enough in this air comes to.
 * Plywood and MDF come to rather less, and a sheet takes days; it is a guide to how sheets in the room drift, not a
 * measurement of the sheet on the bed.
 *
 * Source: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-282 (2021), eq. 4-5 with the coefficients for °C (from
 * memory): M = 1800/W · [KH/(1−KH) + (K1·KH + 2·K1·K2·K²H²)/(1 + K1·KH + K1·K2·K²H²)], H as a fraction.
 * @param tC air temperature, -1.2 to 132.3 °C
 * @param rhPct relative humidity, 0 to 100 %
 * @throws RangeError outside those ranges
 */
export function woodEquilibriumMoisture(tC: number, rhPct: number): number {
  if (!(tC >= WOOD_RANGE_C.low && tC <= WOOD_RANGE_C.high)) {
    throw new RangeError(
      `temperature must be from ${WOOD_RANGE_C.low} to ${WOOD_RANGE_C.high} °C, not ${tC}`,
    );
  }
  if (!(rhPct >= 0 && rhPct <= 100)) {
    throw new RangeError(`relative humidity must be from 0 to 100 %, not ${rhPct}`);
  }
  const w = 349 + 1.29 * tC + 0.0135 * tC * tC;
  const k = 0.805 + 0.000736 * tC - 0.00000273 * tC * tC;
  const k1 = 6.27 - 0.00938 * tC - 0.000303 * tC * tC;
  const k2 = 1.91 + 0.0407 * tC - 0.000293 * tC * tC;
  const kh = (k * rhPct) / 100;
  const bound = k1 * kh;
  const layered = k1 * k2 * kh * kh;
  return (1800 / w) * (kh / (1 - kh) + (bound + 2 * layered) / (1 + bound + layered));
}
