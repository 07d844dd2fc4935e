/** A figure in a sentence, to three digits at most and never with more than two behind the point. */
export function shown(value: number): string {
  const digits = Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : 2;
  return String(Number(value.toFixed(digits))).replace(/^-/, "−");
}

/** From one figure to another of the same unit; one where they are shown alike. */
export function fromTo(
  { least, most }: { readonly least: number; readonly most: number },
  unit: string,
): string {
  const [from, to] = [shown(least), shown(most)];
  return from === to ? `${from} ${unit}` : `${from} to ${to} ${unit}`;
}

/** "1 grade", "−2 grades", "3.5 mm". */
export function sized(value: number, unit: string): string {
  const size = shown(value);
  return `${size} ${unit === "grades" && /^−?1$/.test(size) ? "grade" : unit}`;
}

/** Limits in one unit; where they are shown alike, once. */
export function between(lower: number | null, upper: number | null, unit: string): string {
  if (lower === null && upper === null) return "no limits";
  if (lower === null) return `${sized(upper as number, unit)} or less`;
  if (upper === null) return `${sized(lower, unit)} or more`;
  const [low, high] = [shown(lower), shown(upper)];
  return low === high ? `both limits ${sized(lower, unit)}` : `limits ${low} to ${sized(upper, unit)}`;
}
