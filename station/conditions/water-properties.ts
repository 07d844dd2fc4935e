/**
 * Liquid water at the pressure of the air, 0 to 100 °C, for the heat that the coolant carries away. A loop with antifreeze in it
 * carries less (a third of glycol by volume: some 5 % less; common practice, no source), and then these figures flatter it.
 */

/** Range for which these functions answer, °C. */
export const WATER_RANGE_C = { low: 0, high: 100 } as const;

/**
 * Isobaric specific heat at each ten degrees from 0 to 100 °C, J/(kg K): CRC Handbook of Chemistry and Physics, "Properties of
 * water in the range 0-100 °C", at 100 kPa, which goes by the IAPWS formulation (from memory).
 */
const SPECIFIC_HEAT = [
  4217.6, 4192.1, 4181.8, 4178.4, 4178.5, 4180.6, 4184.3, 4189.5, 4196.3, 4205.0, 4215.9,
] as const;

/**
 * Density, kg/m³, which is grams a litre: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97-105, eq. 16 (from memory); within
 * 0.01 kg/m³ of the later formulations over the whole range.
 * @throws RangeError outside 0 to 100 °C
 */
export function waterDensity(celsius: number): number {
  checkRange(celsius);
  const t = celsius;
  const above =
    999.83952 +
    t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
  return above / (1 + 16.87985e-3 * t);
}

/**
 * Specific heat, J/(kg K), on straight lines between the tabulated values: within 0.1 % everywhere, and 0.02 % above 10 °C.
 * @throws RangeError outside 0 to 100 °C
 */
export function waterSpecificHeat(celsius: number): number {
  checkRange(celsius);
  const place = celsius / 10;
  const below = Math.min(SPECIFIC_HEAT.length - 2, Math.floor(place));
  const [from = 0, to = 0] = [SPECIFIC_HEAT[below], SPECIFIC_HEAT[below + 1]];
  return from + (to - from) * (place - below);
}

function checkRange(celsius: number): void {
  if (celsius >= WATER_RANGE_C.low && celsius <= WATER_RANGE_C.high) return;
  throw new RangeError(
    `water must be from ${WATER_RANGE_C.low} to ${WATER_RANGE_C.high} °C, not ${celsius}: the formulas are for the liquid`,
  );
}
