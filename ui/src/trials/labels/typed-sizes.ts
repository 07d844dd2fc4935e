import { LABEL_SIZES, type LabelSheet, type LabelSize } from "../../../../station/model/label.js";
import type { Limits } from "../typed/limits.js";
import { readForm } from "../typed/numbers.js";

export type TypedSizes = Readonly<Record<LabelSize, string>>;

const size: Limits = { above: 0, most: 2000 };
const space: Limits = { least: 0, most: 2000 };
const count: Limits = { least: 1, most: 100, whole: true };
const LIMITS: Readonly<Record<LabelSize, Limits>> = {
  widthMm: size,
  heightMm: size,
  topMm: space,
  leftMm: space,
  columns: count,
  rows: count,
  labelWidthMm: size,
  labelHeightMm: size,
  gapXMm: space,
  gapYMm: space,
};
const USED: Limits = { least: 0, most: 9999, whole: true };

/** The unit beside a size; none for what is counted. */
export function unitOf(name: LabelSize): string {
  return LIMITS[name].whole ? "" : "mm";
}

export function typedSizes(sizes: LabelSheet): TypedSizes {
  return Object.fromEntries(
    Object.entries(sizes).map(([name, value]) => [name, String(value)]),
  ) as TypedSizes;
}

/** The sizes and how many labels were used already; null where one of them is wrong, and what was expected there by field. */
export function readSizes(
  typed: TypedSizes,
  typedUsed: string,
): {
  readonly read: { readonly sizes: LabelSheet; readonly used: number } | null;
  readonly wrong: ReadonlyMap<string, string>;
} {
  const form = readForm();
  const names = Object.keys(LABEL_SIZES) as LabelSize[];
  const sizes = Object.fromEntries(
    // A ruler has no finer lines than a thousandth, and the station takes no finer ones.
    names.map((name) => [name, Math.round(form.needed(name, typed[name], LIMITS[name]) * 1000) / 1000]),
  ) as Record<LabelSize, number>;
  const used = form.needed("used", typedUsed, USED);
  return { read: form.wrong.size === 0 ? { sizes, used } : null, wrong: form.wrong };
}
