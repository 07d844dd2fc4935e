import { median } from "../review/moments.js";

/** Of one run what its focus is told by. */
export interface SpacerUsed {
  /** What was cut: the lot, or the material where no lot is known. */
  readonly stock: string;
  /** Height of the spacer that the head was set with, mm. */
  readonly spacerMm: number;
}

/** With fewer a spacer would be held against little more than itself. */
const FEWEST = 3;

/**
 * How far the focus was off, mm, above 0 where it was too low in the sheet. Which spacer would be right nobody says of a cut: each is
 * held against the median of all cuts of its stock (common practice, no source). A lower spacer brings the head nearer, and the
 * focus lower.
 * @returns for each in its place; null where fewer than three cuts of its stock have a spacer, and where none is given
 */
export function focusOff(used: readonly (SpacerUsed | null)[]): (number | null)[] {
  const byStock = new Map<string, number[]>();
  for (const each of used) {
    if (each === null) continue;
    const spacers = byStock.get(each.stock);
    if (spacers === undefined) byStock.set(each.stock, [each.spacerMm]);
    else spacers.push(each.spacerMm);
  }
  const medians = new Map(
    [...byStock].map(([stock, spacers]) => [stock, spacers.length < FEWEST ? null : median(spacers)]),
  );
  return used.map((each) => {
    const usual = each === null ? null : (medians.get(each.stock) ?? null);
    return each === null || usual === null ? null : withoutNoise(usual - each.spacerMm);
  });
}

/** 7.1 − 7 is 0.0999…: to a thousandth of a millimetre, finer than any spacer. */
function withoutNoise(mm: number): number {
  return Math.round(mm * 1000) / 1000 + 0;
}
