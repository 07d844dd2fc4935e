/** A p value as people read one: never 0, and no more digits than it carries. */
export function pWords(p: number): string {
  if (p < 0.001) return "p below 0.001";
  return `p = ${p < 0.01 ? p.toFixed(3) : p < 0.1 ? p.toPrecision(2) : p.toFixed(2)}`;
}

/** A share as whole per cent without its sign; "less than 1 %" where it rounds to nothing. */
export function perCent(share: number): string {
  if (share <= -0.95) return "more than 95 %";
  const whole = Math.round(Math.abs(share) * 100);
  return whole === 0 ? "less than 1 %" : `${whole} %`;
}

/** A factor of the odds: "3 times", "a third" is left to the reader as "0.33 times". */
export function times(factor: number): string {
  if (factor >= 1000) return "more than 1000 times";
  if (factor < 0.01) return "less than 0.01 times";
  return `${factor >= 10 ? factor.toFixed(0) : factor.toPrecision(2)} times`;
}

/** How often, of ten: "about 3 times in 10". */
export function inTen(share: number): string {
  if (share < 0.05) return "hardly ever";
  if (share > 0.95) return "nearly always";
  const times = Math.round(share * 10);
  return times === 1 ? "about once in 10" : `about ${times} times in 10`;
}

/** "A", "A and B", "A, B and C". */
export function listed(names: readonly string[]): string {
  return names.length < 2 ? (names[0] ?? "") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

/** A figure of a condition with its unit: "20.5 °C". */
export function measured(value: number, { unit, decimals }: { unit: string; decimals: number }): string {
  return `${number(value, decimals)}${unit === "" ? "" : ` ${unit}`}`;
}

/** From one figure to another, the unit once; one where they are shown alike. */
export function span(low: number, high: number, facts: { unit: string; decimals: number }): string {
  const [from, to] = [number(low, facts.decimals), number(high, facts.decimals)];
  return from === to ? measured(low, facts) : `${from} to ${measured(high, facts)}`;
}

function number(value: number, decimals: number): string {
  const text = value.toFixed(decimals);
  return (Number(text) === 0 ? (0).toFixed(decimals) : text).replace(/^-/, "−");
}

/** A name as it stands within a sentence: "coolant". */
export function inSentence(name: string): string {
  return name.slice(0, 1).toLowerCase() + name.slice(1);
}

/** Words that begin a sentence. */
export function begun(words: string): string {
  return words.slice(0, 1).toUpperCase() + words.slice(1);
}
