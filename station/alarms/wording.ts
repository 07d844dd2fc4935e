import type { Side } from "./compare.js";

/**
 * How a measured value stands to its setpoint, in words: "23.4 °C, above 22.0 °C". One decimal, or two where a value beyond
 * its setpoint would else read as equal to it; and where even two do not tell them apart, "just above".
 */
export function againstSetpoint(
  side: Side,
  value: number,
  setpoint: number,
  beyond: boolean,
  unit: string,
): string {
  const word = side === "high" ? "above" : "below";
  const text = (decimals: number, how: string) =>
    `${value.toFixed(decimals)} ${unit}, ${how} ${setpoint.toFixed(decimals)} ${unit}`;
  if (!beyond) return text(1, `not ${word}`);
  const decimals = [1, 2].find((places) => value.toFixed(places) !== setpoint.toFixed(places));
  return decimals === undefined ? text(1, `just ${word}`) : text(decimals, word);
}

/** A length of time for people, from milliseconds ≥ 0: "12 s", "4 min", "3 h". Rounded down, so it never says too much. */
export function duration(ms: number): string {
  const seconds = Math.floor(ms / 1000);
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.floor(seconds / 60);
  return minutes < 120 ? `${minutes} min` : `${Math.floor(minutes / 60)} h`;
}
