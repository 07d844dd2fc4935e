import { materialCautions } from "../../safety/rules.js";
import type { KeptEntry } from "../model/entry.js";
import { type Lot, type LotFacts, type LotView, lotMark, type MeasuredFact, STOCKS } from "../model/lot.js";
import type { PhotoRow } from "../model/photo.js";
import { density, measured } from "./sheet-stock.js";

/** A lot as people call it: "L3 Poplar plywood". */
export function lotName({ number, facts }: Pick<Lot, "number" | "facts">): string {
  return `${lotMark({ number })} ${facts.product}`;
}

/**
 * A lot with what is worked out from it.
 * @param all every lot, for the one before it of the same stock
 */
export function viewLot(lot: Lot, all: readonly Lot[], photos: readonly KeptEntry<"photo">[]): LotView {
  const { facts } = lot;
  const last = lastOfStock(lot, all);
  return {
    ...lot,
    name: lotName(lot),
    thickness: thicknessOf(facts),
    density: densityOf(facts),
    cautions: materialCautions(materialOf(facts)).map(({ headline, seriousness }) => ({
      headline,
      never: seriousness === 1,
    })),
    sinceLast: last === null ? null : { lot: lotName(last), differences: differences(facts, last.facts) },
    photos: photos.map(photoRowOf),
  };
}

/** What the cautions read: what the stock is and what it is called. */
function materialOf({ stock, product }: LotFacts): string {
  return stock === "other" ? product : `${STOCKS[stock]}, ${product}`;
}

export function photoRowOf({ entry, body, wall }: KeptEntry<"photo">): PhotoRow {
  const { sha256, width, height, bytes, note } = body;
  return { entry, sha256, width, height, bytes, wall, note };
}

export function thicknessOf({ thickness_mm }: LotFacts): MeasuredFact | null {
  return thickness_mm === undefined || thickness_mm.length === 0 ? null : measured(thickness_mm);
}

/** kg/m³; of a piece that was weighed and measured, with the mean of the measured thickness. */
function densityOf(facts: LotFacts): number | null {
  const { piece_g, piece_length_mm, piece_width_mm } = facts;
  const thickness = thicknessOf(facts)?.mean;
  if (piece_g === undefined || piece_length_mm === undefined || piece_width_mm === undefined) return null;
  return thickness === undefined ? null : density(piece_g, [piece_length_mm, piece_width_mm], thickness);
}

/** The lot before it of what counts as the same stock: the same product from the same supplier, as nominally thick. */
function lastOfStock(lot: Lot, all: readonly Lot[]): Lot | null {
  const same = ({ product, stock, supplier = "", nominal_mm }: LotFacts) =>
    [product.trim().toLowerCase(), stock, supplier.trim().toLowerCase(), nominal_mm].join("|");
  const earlier = all.filter(({ number, facts }) => number < lot.number && same(facts) === same(lot.facts));
  return earlier.reduce<Lot | null>(
    (last, each) => (last === null || each.number > last.number ? each : last),
    null,
  );
}

/** What has changed since the last lot, each with both figures. What was not measured of either is not spoken of. */
function differences(now: LotFacts, before: LotFacts): string[] {
  const said: string[] = [];
  const say = (
    word: string,
    unit: string,
    digits: number,
    a: number | null | undefined,
    b: number | null | undefined,
  ) => {
    if (a == null || b == null) return;
    const change = a - b;
    const of = (value: number) => `${value.toFixed(digits)} ${unit}`.trim();
    const size = Math.abs(change);
    if (Number(size.toFixed(digits)) === 0) return;
    said.push(`${word} ${of(a)}, ${of(size)} ${change > 0 ? "more" : "less"} than ${b.toFixed(digits)}`);
  };
  say("Thickness", "mm", 2, thicknessOf(now)?.mean, thicknessOf(before)?.mean);
  say("Density", "kg/m³", 0, densityOf(now), densityOf(before));
  say("Price of a sheet", "", 2, now.sheet_price, before.sheet_price);
  say("Delivery", "", 2, now.delivery, before.delivery);
  return said;
}
