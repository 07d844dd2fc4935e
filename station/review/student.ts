import { normalBelow } from "./normal.js";
import { studentTails } from "./tails.js";

/** Points of the integral over the spread of a sample; more change nothing in the eighth digit. */
const POINTS = 400;

/**
 * The share of Student's t below `t`: of the noncentral one where the means do differ.
 * @param t what is looked up
 * @param freedom degrees of freedom, 1 or more
 * @param noncentral the true difference over its standard error; 0 for Student's own
 * @throws RangeError for less than 1 degree of freedom
 */
export function studentBelow(t: number, freedom: number, noncentral = 0): number {
  if (!(freedom >= 1)) throw new RangeError("Student's t has 1 degree of freedom, or more.");
  // By the other way the tails are exact where few degrees of freedom make them long.
  if (noncentral === 0) return t < 0 ? studentTails(t, freedom) / 2 : 1 - studentTails(t, freedom) / 2;
  // The mean of Φ(t·s − δ) over s, the sample's spread over the true one: freedom · s² is chi-square.
  const middle = Math.sqrt(Math.max(0, freedom - 1) / freedom);
  const reach = 9 / Math.sqrt(2 * freedom);
  const from = Math.max(0, middle - reach);
  const step = (middle + reach - from) / POINTS;
  const log = (s: number) => (freedom - 1) * Math.log(s) - (freedom * s * s) / 2;
  const top = middle > 0 ? log(middle) : 0;
  let sum = 0;
  let weight = 0;
  for (let i = 0; i <= POINTS; i++) {
    const s = from + i * step;
    const simpson = i === 0 || i === POINTS ? 1 : i % 2 === 1 ? 4 : 2;
    // With one degree of freedom the density does not fall towards 0.
    const density = s === 0 ? (freedom === 1 ? 1 : 0) : Math.exp(log(s) - top);
    weight += simpson * density;
    sum += simpson * density * normalBelow(t * s - noncentral);
  }
  return sum / weight;
}

/** @param share above 0.5 and below 1 @param freedom above 0 */
export function studentQuantile(share: number, freedom: number): number {
  const below = (t: number) => 1 - studentTails(t, freedom) / 2;
  let low = 0;
  let high = 1;
  while (below(high) < share) high *= 2;
  for (let i = 0; i < 80; i++) {
    const middle = (low + high) / 2;
    if (below(middle) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

export interface Power {
  /** How often a difference that is there is to be found: 0.8 for 8 times in 10. */
  readonly power: number;
  /** How often one is found that is not there, two-sided: 0.05. */
  readonly level: number;
}

/** J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 1988, calls both common practice (from memory). */
export const USUAL_POWER: Power = { power: 0.8, level: 0.05 };

/** How often t lies further from 0 than `critical`, either way. */
function beyond(critical: number, freedom: number, noncentral: number): number {
  return 1 - studentBelow(critical, freedom, noncentral) + studentBelow(-critical, freedom, noncentral);
}

/**
 * The smallest shift that a t-test finds so often.
 * @param freedom degrees of freedom, 1 or more
 * @param errors how many standard errors a shift of 1 is
 */
export function smallestShift(freedom: number, errors: number, { power, level }: Power): number {
  const critical = studentQuantile(1 - level / 2, freedom);
  const found = (shift: number) => beyond(critical, freedom, shift * errors);
  let low = 0;
  let high = 1;
  while (found(high) < power) high *= 2;
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (found(middle) < power) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
