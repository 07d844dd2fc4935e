/** A label where it lies on its sheet, millimetres from the sheet's upper left corner. */
export interface PrintedLabel {
  readonly xMm: number;
  readonly yMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly code: string;
  readonly block: number;
  readonly place: number;
  /** Opens the specimen's grading page: dark modules as the `d` of an SVG path in a view box of so many modules. */
  readonly qr: { readonly modules: number; readonly path: string };
}

/** Labels to be printed. They stay on the specimens, so they tell neither lot nor setting. */
export interface LabelsView {
  readonly sheetWidthMm: number;
  readonly sheetHeightMm: number;
  readonly pages: readonly (readonly PrintedLabel[])[];
}

/** Of a sheet of labels, as its owner measures it with a ruler; millimetres. */
export const LABEL_SIZES = {
  width: "Width of the sheet or the roll",
  height: "Height of the sheet, or of a label of the roll",
  top: "From the top to the first label",
  left: "From the left to the first label",
  columns: "Labels beside each other",
  rows: "Labels below each other",
  label_width: "Width of a label",
  label_height: "Height of a label",
  gap_x: "Gap beside a label",
  gap_y: "Gap below a label",
} as const;
export type LabelSize = keyof typeof LABEL_SIZES;
export type LabelSizes = Readonly<Record<LabelSize, number>>;

/** A4 (ISO 216), to be cut by hand or set to the labels at hand. */
export const A4_LABELS: LabelSizes = {
  width: 210,
  height: 297,
  top: 12,
  left: 10,
  columns: 3,
  rows: 7,
  label_width: 60,
  label_height: 36,
  gap_x: 5,
  gap_y: 3,
};

/** One label after another. */
export function rollLabels(width: number, height: number): LabelSizes {
  return {
    ...{ width, height, top: 0, left: 0, columns: 1, rows: 1 },
    ...{ label_width: width, label_height: height, gap_x: 0, gap_y: 0 },
  };
}
