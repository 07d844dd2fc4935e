/**
 * The fan laws (fan affinity laws): of one fan in a duct system that stays as it is, the volume of air goes with the speed,
 * pressures with its square, and the power with its cube, at the same density of the air. ASHRAE Handbook, HVAC Systems and
 * Equipment, chapter "Fans" (from memory); they hold where the flow is turbulent, as it is in a duct. A filter's cloth has a part of its
 * resistance that goes with the flow itself, so that its pressure drop grows a little less than with the square: readings are
 * therefore compared at speeds near each other (`NEAR_SPEED`).
 */

/** Share of the usual speed below which a pressure drop is not carried to it. This station's choice, no source. */
export const NEAR_SPEED = 0.75;

/** Volume flow at another speed: q₂ = q₁ n₂/n₁. Speeds > 0, in one unit. */
export function flowAtSpeed(flow: number, speed: number, otherSpeed: number): number {
  return flow * ratio(speed, otherSpeed);
}

/** Pressure, or a drop of it, at another speed: Δp₂ = Δp₁ (n₂/n₁)². Speeds > 0, in one unit. */
export function pressureAtSpeed(pressure: number, speed: number, otherSpeed: number): number {
  return pressure * ratio(speed, otherSpeed) ** 2;
}

/** Shaft power at another speed: P₂ = P₁ (n₂/n₁)³. Speeds > 0, in one unit. */
export function powerAtSpeed(power: number, speed: number, otherSpeed: number): number {
  return power * ratio(speed, otherSpeed) ** 3;
}

function ratio(speed: number, otherSpeed: number): number {
  if (!(speed > 0 && otherSpeed > 0)) {
    throw new RangeError(`speeds must be above zero, not ${speed} and ${otherSpeed}`);
  }
  return otherSpeed / speed;
}
