import { type Lot, type LotView, lotMark } from "../../../../station/model/lot.js";
import { asEntered, numberText } from "../../words/number.js";

const NO_BREAK = "\u00a0";

/** "L3 Quayside board" */
export function nameOf({ number, facts }: Pick<Lot, "number" | "facts">): string {
  return `${lotMark({ number })} ${facts.product}`;
}

/** "3.02 mm, spread 0.04 mm, n 5": mean and standard deviation; null where it was not measured. */
export function thicknessWords({ thickness }: Pick<LotView, "thickness">): string | null {
  if (thickness === null) return null;
  const { mean, sd, n } = thickness;
  const spread = sd === null ? "" : `, spread ${numberText(sd, 3)}${NO_BREAK}mm`;
  return `${numberText(mean, 2)}${NO_BREAK}mm${spread}, n${NO_BREAK}${n}`;
}

/** "2.98 to 3.02 mm"; one figure where all points were alike, null where it was not measured. */
export function spanWords({ thickness }: Pick<LotView, "thickness">): string | null {
  if (thickness === null) return null;
  const { least, most } = thickness;
  const words = least === most ? asEntered(least) : `${asEntered(least)} to ${asEntered(most)}`;
  return `${words}${NO_BREAK}mm`;
}

export function sheetWords({ facts }: Pick<LotView, "facts">): string | null {
  const { sheet_length_mm, sheet_width_mm } = facts;
  if (sheet_length_mm === undefined || sheet_width_mm === undefined) return null;
  return `${asEntered(sheet_length_mm)} × ${asEntered(sheet_width_mm)}${NO_BREAK}mm`;
}
