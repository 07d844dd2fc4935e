import { type PropertyId, propertyOf, unfitValue } from "../../../station/model/grade.js";

export type TypedNumber = { readonly value: number } | { readonly expected: string } | null;

/**
 * What somebody typed for a measured property, with a decimal comma or point, and with its unit or without; null for nothing.
 */
export function typedNumber(id: PropertyId, typed: string): TypedNumber {
  const property = propertyOf(id);
  const unit = property.as === "measure" ? property.unit : "";
  let text = typed.trim();
  if (unit !== "" && text.toLowerCase().endsWith(unit.toLowerCase()))
    text = text.slice(0, -unit.length).trim();
  if (text === "") return null;
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(text)) return { expected: "a number, as 12.5 or 12,5" };
  const value = Number(text.replace(",", "."));
  const unfit = unfitValue(id, value);
  return unfit === null ? { value } : { expected: unfit };
}
