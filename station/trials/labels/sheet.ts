import type { LabelSheet } from "../../model/label.js";

export interface PlacedLabel {
  /** Of its upper left corner, from that of the sheet. */
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly code: string;
}

const LONGEST_MM = 2000;
const MOST_A_SIDE = 100;
/** Half of the finest line of a ruler: sums of what was read off one may be off by that. */
const SLACK_MM = 0.25;

/** What of a sheet cannot be, each in words; none as a rule. */
export function sheetFaults(sheet: LabelSheet): string[] {
  const faults: string[] = [];
  const lengths = { "The sheet's width": sheet.widthMm, "The sheet's height": sheet.heightMm };
  const sizes = { "A label's width": sheet.labelWidthMm, "A label's height": sheet.labelHeightMm };
  for (const [what, mm] of Object.entries({ ...lengths, ...sizes })) {
    if (!(mm > 0 && mm <= LONGEST_MM)) faults.push(`${what} is more than 0 and up to ${LONGEST_MM} mm.`);
  }
  const spaces = { upper: sheet.topMm, left: sheet.leftMm };
  for (const [side, mm] of Object.entries(spaces)) {
    if (!(mm >= 0)) faults.push(`The ${side} margin is 0 mm or more.`);
  }
  if (!(sheet.gapXMm >= 0 && sheet.gapYMm >= 0)) faults.push("A gap between labels is 0 mm or more.");
  for (const [what, count] of Object.entries({ columns: sheet.columns, rows: sheet.rows })) {
    if (!(Number.isInteger(count) && count >= 1 && count <= MOST_A_SIDE)) {
      faults.push(`A sheet has 1 to ${MOST_A_SIDE} ${what}.`);
    }
  }
  if (faults.length > 0) return faults;
  const across = sheet.leftMm + sheet.columns * (sheet.labelWidthMm + sheet.gapXMm) - sheet.gapXMm;
  const down = sheet.topMm + sheet.rows * (sheet.labelHeightMm + sheet.gapYMm) - sheet.gapYMm;
  if (across > sheet.widthMm + SLACK_MM) {
    faults.push(
      `The labels reach ${round(across)} mm across, and the sheet is ${round(sheet.widthMm)} mm wide.`,
    );
  }
  if (down > sheet.heightMm + SLACK_MM) {
    faults.push(
      `The labels reach ${round(down)} mm down, and the sheet is ${round(sheet.heightMm)} mm high.`,
    );
  }
  return faults;
}

function round(mm: number): number {
  return Math.round(mm * 10) / 10;
}

/**
 * Where each label stands: row by row, from the upper left, sheet after sheet.
 * @param startAt labels of the first sheet that are used already, 0 for a whole sheet
 * @returns one list a sheet @throws RangeError for a sheet with faults, or a start that is not on it
 */
export function layLabels(codes: readonly string[], sheet: LabelSheet, startAt = 0): PlacedLabel[][] {
  const [fault] = sheetFaults(sheet);
  if (fault !== undefined) throw new RangeError(fault);
  const each = sheet.columns * sheet.rows;
  if (!(Number.isInteger(startAt) && startAt >= 0 && startAt < each)) {
    throw new RangeError(`Of a sheet of ${each} labels, 0 to ${each - 1} can be used already.`);
  }
  const pages: PlacedLabel[][] = [];
  codes.forEach((code, i) => {
    const place = (startAt + i) % each;
    const label = {
      xMm: sheet.leftMm + (place % sheet.columns) * (sheet.labelWidthMm + sheet.gapXMm),
      yMm: sheet.topMm + Math.floor(place / sheet.columns) * (sheet.labelHeightMm + sheet.gapYMm),
      widthMm: sheet.labelWidthMm,
      heightMm: sheet.labelHeightMm,
      code,
    };
    if (i === 0 || place === 0) pages.push([label]);
    else pages.at(-1)?.push(label);
  });
  return pages;
}
