/**
 * Moist air from what a room sensor gives. Temperatures in °C, relative humidity in % over liquid water (the meteorological
 * convention, also below 0 °C), vapour pressure in hPa.
 *
 * Magnus formulas and coefficients: WMO-No. 8, Guide to Instruments and Methods of Observation, annex 4.B (from memory),
 * good to some 0.3 % of vapour pressure over water from -45 to 60 °C and over ice from -65 to 0.01 °C. The enhancement
 * factor of moist air (0.4 % at sea level) is left out: a workshop sensor is ten times less exact.
 */
const E0_HPA = 6.112;
const WATER = { b: 17.62, c: 243.12 } as const;
const ICE = { b: 22.46, c: 272.62 } as const;

/** Range of air temperatures, °C, for which these functions answer. */
export const AIR_RANGE_C = { low: -45, high: 60 } as const;

/** Gas constant of water vapour, J/(kg K) (textbook value, from memory). */
const R_VAPOUR = 461.5;
const KELVIN_AT_0_C = 273.15;

/**
 * Saturation vapour pressure over liquid water, hPa.
 * @throws RangeError outside -45 to 60 °C
 */
export function saturationPressureOverWater(tC: number): number {
  checkRange("temperature", tC, AIR_RANGE_C.low, AIR_RANGE_C.high, "°C");
  return magnus(tC, WATER);
}

/**
 * Saturation vapour pressure over ice, hPa.
 * @throws RangeError outside -65 to 0.01 °C
 */
export function saturationPressureOverIce(tC: number): number {
  checkRange("temperature over ice", tC, -65, 0.01, "°C");
  return magnus(tC, ICE);
}

/**
 * Partial pressure of the water vapour in air, hPa.
 * @throws RangeError unless -45 ≤ tC ≤ 60 and 0 < rhPct ≤ 100
 */
export function vapourPressure(tC: number, rhPct: number): number {
  if (!(rhPct > 0 && rhPct <= 100)) {
    throw new RangeError(`relative humidity must be above 0 and at most 100 %, not ${rhPct}`);
  }
  return (rhPct / 100) * saturationPressureOverWater(tC);
}

/**
 * Dew point over liquid water, °C, also where it lies below zero (supercooled).
 * Below -45 °C (very dry air) it is carried on beyond the formula's range.
 * @throws RangeError unless -45 ≤ tC ≤ 60 and 0 < rhPct ≤ 100
 */
export function dewPoint(tC: number, rhPct: number): number {
  return inverseMagnus(vapourPressure(tC, rhPct), WATER);
}

/**
 * Frost point, °C: where the vapour of the air is saturated over ice. It means something only where it is at or below zero,
 * and then lies above the dew point of the same air.
 * @throws RangeError unless -45 ≤ tC ≤ 60 and 0 < rhPct ≤ 100
 */
export function frostPoint(tC: number, rhPct: number): number {
  return inverseMagnus(vapourPressure(tC, rhPct), ICE);
}

export interface DewOrFrostPoint {
  readonly tC: number;
  /** What forms on a surface colder than this. */
  readonly deposit: "dew" | "frost";
}

/**
 * The surface temperature at which water begins to settle: the dew point over liquid water at and above 0 °C, the frost
 * point below. Both formulas meet at 0 °C, so there is no step between them.
 * @throws RangeError unless -45 ≤ tC ≤ 60 and 0 < rhPct ≤ 100
 */
export function dewOrFrostPoint(tC: number, rhPct: number): DewOrFrostPoint {
  const dew = dewPoint(tC, rhPct);
  return dew >= 0 ? { tC: dew, deposit: "dew" } : { tC: frostPoint(tC, rhPct), deposit: "frost" };
}

/**
 * How far the coolant is above the temperature at which water settles on what it cools, °C: coolant less dew point (over
 * liquid water at and above 0 °C, frost point below). At or below zero the tube and the optics grow wet.
 * @throws RangeError unless -45 ≤ roomC ≤ 60 and 0 < rhPct ≤ 100
 */
export function condensationMargin(coolantC: number, roomC: number, rhPct: number): number {
  return coolantC - dewOrFrostPoint(roomC, rhPct).tC;
}

/**
 * Mass of water vapour in the air, g/m³, by the ideal gas law with R = 461.5 J/(kg K).
 * @throws RangeError unless -45 ≤ tC ≤ 60 and 0 < rhPct ≤ 100
 */
export function absoluteHumidity(tC: number, rhPct: number): number {
  const pascals = vapourPressure(tC, rhPct) * 100;
  return (pascals / (R_VAPOUR * (tC + KELVIN_AT_0_C))) * 1000;
}

function magnus(tC: number, { b, c }: { b: number; c: number }): number {
  return E0_HPA * Math.exp((b * tC) / (c + tC));
}

function inverseMagnus(hPa: number, { b, c }: { b: number; c: number }): number {
  const logRatio = Math.log(hPa / E0_HPA);
  return (c * logRatio) / (b - logRatio);
}

function checkRange(what: string, value: number, low: number, high: number, unit: string): void {
  if (!(value >= low && value <= high)) {
    throw new RangeError(`${what} must be from ${low} to ${high} ${unit}, not ${value}`);
  }
}
