/** A figure in a sentence, to three digits at most and never with more than two behind the point. */
export function shown(value: number): string {
  const digits = Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : 2;
  return String(Number(value.toFixed(digits))).replace(/^-/, "−");
}

/** @param pieces a word that takes an s for more than one */
export function counted(n: number, piece: string): string {
  return `${n} ${piece}${n === 1 ? "" : "s"}`;
}

/** From one figure to another of the same unit; one where they are shown alike. */
export function fromTo(
  { least, most }: { readonly least: number; readonly most: number },
  unit: string,
): string {
  const [from, to] = [shown(least), shown(most)];
  return from === to ? `${from} ${unit}` : `${from} to ${to} ${unit}`;
}

/** @param ends each in the same unit */
export function between(lower: number | null, upper: number | null): string {
  if (lower !== null && upper !== null) return `limits ${shown(lower)} to ${shown(upper)}`;
  if (lower !== null) return `${shown(lower)} or more`;
  return upper === null ? "no limits" : `${shown(upper)} or less`;
}
