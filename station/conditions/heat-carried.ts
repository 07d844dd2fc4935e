import { WATER_RANGE_C, waterDensity, waterSpecificHeat } from "./water-properties.js";

/** A measured value with its standard uncertainty, in its own unit. */
export interface Uncertain {
  readonly value: number;
  readonly sd: number;
}

export interface HeatInput {
  /** Into the tube and out of it, °C. */
  readonly inlet: Uncertain;
  readonly outlet: Uncertain;
  /** L/min. */
  readonly flow: Uncertain;
}

/**
 * The standard uncertainty of a value that lies within ± `halfWidth`, anywhere alike: a/√3. JCGM 100:2008 (GUM), 4.3.7 (from
 * memory).
 */
export function fromLimits(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

/**
 * Heat that the water takes out of the tube, W: P = ρ c V̇ (T_out - T_in), the density taken at the inlet, where flow sensors
 * sit, and the specific heat at the mean. Negative where the tube is colder than what flows into it.
 *
 * The standard uncertainty is the law of propagation for unrelated inputs (JCGM 100:2008, 5.1.2, from memory); that of the
 * properties of water is a hundredth of what a workshop's sensors leave and is left out. It holds for water that flows steadily: as
 * the laser comes on, heat is first stored in the tube.
 * @returns null where the water is not liquid or the flow is below zero
 */
export function heatCarried({ inlet, outlet, flow }: HeatInput): Uncertain | null {
  const mean = (inlet.value + outlet.value) / 2;
  if (![inlet.value, outlet.value].every(isLiquid) || !(flow.value >= 0)) return null;
  // Grams a litre times litres a minute, in kg/s.
  const perLitreMinute = waterDensity(inlet.value) / 1000 / 60;
  const heat = perLitreMinute * waterSpecificHeat(mean);
  const difference = outlet.value - inlet.value;
  return {
    value: heat * flow.value * difference,
    sd: heat * Math.hypot(difference * flow.sd, flow.value * inlet.sd, flow.value * outlet.sd),
  };
}

function isLiquid(celsius: number): boolean {
  return celsius >= WATER_RANGE_C.low && celsius <= WATER_RANGE_C.high;
}
