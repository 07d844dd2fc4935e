/** Sides in mm. */
export interface Sides {
  readonly lengthMm: number;
  readonly widthMm: number;
}

/** How many parts a sheet gives, and what is left over. */
export interface Nesting {
  readonly parts: number;
  /** Whether the part lies with its length along the sheet's width. */
  readonly turned: boolean;
  /** Of the sheet's area, what is in no part: 0 to 1. */
  readonly offcut: number;
}

/**
 * Parts in straight rows, all of them the same way round: the better of the two ways. A plain rule that anybody can check with a
 * ruler; whoever nests by hand gets as many or more.
 * @param gapMm between two parts
 * @param edgeMm left free along every edge of the sheet
 * @throws RangeError for sides that are not above 0, or a gap or edge below it
 */
export function nest(sheet: Sides, part: Sides, gapMm: number, edgeMm: number): Nesting {
  const sides = [sheet.lengthMm, sheet.widthMm, part.lengthMm, part.widthMm];
  if (!sides.every((side) => side > 0) || !(gapMm >= 0 && edgeMm >= 0)) {
    throw new RangeError("Sides of sheets and parts are above 0 mm, gap and edge 0 mm or more.");
  }
  const along = (length: number, each: number) =>
    Math.max(0, Math.floor((length - 2 * edgeMm + gapMm) / (each + gapMm)));
  const straight = along(sheet.lengthMm, part.lengthMm) * along(sheet.widthMm, part.widthMm);
  const across = along(sheet.lengthMm, part.widthMm) * along(sheet.widthMm, part.lengthMm);
  const parts = Math.max(straight, across);
  const area = (of: Sides) => of.lengthMm * of.widthMm;
  return { parts, turned: across > straight, offcut: 1 - (parts * area(part)) / area(sheet) };
}

/** Money in the owner's currency throughout. */
export interface PartCosts {
  readonly sheetPrice: number;
  /** Of the whole order. */
  readonly delivery: number;
  readonly sheetsOrdered: number;
  readonly partsFromSheet: number;
  readonly laserMinutes: number;
  readonly laserPerMinute: number;
  readonly finishingMinutes: number;
  readonly finishingPerMinute: number;
  /** Of the parts that are cut and finished, those that cannot be sold: 0 up to, not including, 1. */
  readonly badShare: number;
}

export interface PartCost {
  readonly material: number;
  readonly laser: number;
  readonly finishing: number;
  /** What a part that can be sold costs: bad ones are paid for by the good. */
  readonly goodPart: number;
}

/** @throws RangeError where no part comes from a sheet, nothing is ordered, or all parts are bad */
export function partCost(costs: PartCosts): PartCost {
  const { sheetPrice, delivery, sheetsOrdered, partsFromSheet, badShare } = costs;
  if (!(partsFromSheet >= 1 && sheetsOrdered >= 1)) {
    throw new RangeError(
      "A part's price needs a sheet that gives one part or more, and an order of one sheet or more.",
    );
  }
  if (!(badShare >= 0 && badShare < 1)) {
    throw new RangeError("The share of bad parts is from 0 up to, not including, 1.");
  }
  const material = (sheetPrice + delivery / sheetsOrdered) / partsFromSheet;
  const laser = costs.laserMinutes * costs.laserPerMinute;
  const finishing = costs.finishingMinutes * costs.finishingPerMinute;
  return { material, laser, finishing, goodPart: (material + laser + finishing) / (1 - badShare) };
}
