import { LABEL_SIZES, type LabelSheet, type LabelSize } from "../../../../station/model/label.js";

export type TypedSizes = Readonly<Record<LabelSize, string>>;

export function typedSizes(sizes: LabelSheet): TypedSizes {
  return Object.fromEntries(
    Object.entries(sizes).map(([size, value]) => [size, String(value)]),
  ) as TypedSizes;
}

/** Null where one of them is no number of millimetres. */
export function numbersOf(typed: TypedSizes): LabelSheet | null {
  const sizes = (Object.keys(LABEL_SIZES) as LabelSize[]).map((size) => {
    const text = typed[size].trim().replace(",", ".");
    return [size, /^\d{1,4}(\.\d{1,3})?$/.test(text) ? Number(text) : null] as const;
  });
  return sizes.some(([, value]) => value === null) ? null : (Object.fromEntries(sizes) as LabelSheet);
}
