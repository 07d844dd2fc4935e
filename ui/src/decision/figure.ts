import { asEntered, NO_VALUE } from "../words/number.js";

/** To three digits, as the station's sentences have them. */
export function figure(value: number | null): string {
  if (value === null) return NO_VALUE;
  const digits = Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : 2;
  return asEntered(Number(value.toFixed(digits)));
}

export function limits(lower: number | null, upper: number | null): string {
  if (lower === null && upper === null) return NO_VALUE;
  if (lower === null) return `${figure(upper)} or less`;
  if (upper === null) return `${figure(lower)} or more`;
  // Apart by less than is told: one figure says the same.
  return figure(lower) === figure(upper) ? figure(lower) : `${figure(lower)} to ${figure(upper)}`;
}
