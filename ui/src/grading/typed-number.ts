import { type PropertyId, propertyOf, unfitValue } from "../../../station/model/grade.js";

export type TypedNumber = { readonly value: number } | { readonly expected: string } | null;

/** Newtons that a scale means by a kilogram: the standard acceleration of free fall, 9.80665 m/s² (3rd CGPM, 1901). */
const N_PER_KG = 9.80665;

export function isForce(id: PropertyId): boolean {
  const property = propertyOf(id);
  return property.as === "measure" && property.unit === "N";
}

/** A force as a luggage scale shows it, kg, to the hundredth. */
export function inKg(newtons: number): number {
  return Math.round((newtons / N_PER_KG) * 100) / 100;
}

/**
 * What somebody typed for a measured property, with a decimal comma or point, and with its unit or without; null for nothing.
 * @param unit of a number without one; a force may be in kg, as scales show it
 */
export function typedNumber(id: PropertyId, typed: string, unit: "own" | "kg" = "own"): TypedNumber {
  const property = propertyOf(id);
  const own = property.as === "measure" ? property.unit : "";
  let text = typed.trim();
  let kg = isForce(id) && unit === "kg";
  for (const ending of isForce(id) ? ["kg", own] : [own]) {
    if (ending === "" || !text.toLowerCase().endsWith(ending.toLowerCase())) continue;
    text = text.slice(0, -ending.length).trim();
    kg = ending === "kg";
    break;
  }
  if (text === "") return null;
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text)) return { expected: "a number, as 12.5 or 12,5" };
  const number = Number(text.replace(",", "."));
  const value = kg ? Math.round(number * N_PER_KG * 100) / 100 : number;
  const unfit = unfitValue(id, value);
  return unfit === null ? { value } : { expected: unfit };
}
