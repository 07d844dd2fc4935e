import type { Side } from "./compare.js";

/**
 * How a measured value stands to its setpoint, in words: "23.4 °C, above 22.0 °C". One decimal, and as many more (up to
 * three) as it takes for a value beyond its setpoint not to read as equal to it.
 */
export function againstSetpoint(
  side: Side,
  value: number,
  setpoint: number,
  beyond: boolean,
  unit: string,
): string {
  let decimals = 1;
  while (decimals < 3 && value !== setpoint && value.toFixed(decimals) === setpoint.toFixed(decimals))
    decimals += 1;
  const word = side === "high" ? "above" : "below";
  return `${value.toFixed(decimals)} ${unit}, ${beyond ? word : `not ${word}`} ${setpoint.toFixed(decimals)} ${unit}`;
}

/** A length of time for people, from milliseconds ≥ 0: "12 s", "4 min", "3 h". Rounded down, so it never says too much. */
export function duration(ms: number): string {
  const seconds = Math.floor(ms / 1000);
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.floor(seconds / 60);
  return minutes < 120 ? `${minutes} min` : `${Math.floor(minutes / 60)} h`;
}
