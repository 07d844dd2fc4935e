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

/** A sheet of labels, or one label of a roll, as its owner measures it with a ruler. */
export const LABEL_SIZES = {
  widthMm: "Width of the sheet or the roll",
  heightMm: "Height of the sheet, or of a label of the roll",
  topMm: "From the top to the first label",
  leftMm: "From the left to the first label",
  columns: "Labels beside each other",
  rows: "Labels below each other",
  labelWidthMm: "Width of a label",
  labelHeightMm: "Height of a label",
  gapXMm: "Gap beside a label",
  gapYMm: "Gap below a label",
} as const;
export type LabelSize = keyof typeof LABEL_SIZES;
export type LabelSheet = Readonly<Record<LabelSize, number>>;

/** A4 (ISO 216), to be cut by hand or set to the labels at hand. */
export const A4_LABELS: LabelSheet = {
  widthMm: 210,
  heightMm: 297,
  topMm: 12,
  leftMm: 10,
  columns: 3,
  rows: 7,
  labelWidthMm: 60,
  labelHeightMm: 36,
  gapXMm: 5,
  gapYMm: 3,
};

/** A roll gives one label after another. */
export function rollLabels(widthMm: number, heightMm: number): LabelSheet {
  return {
    widthMm,
    heightMm,
    topMm: 0,
    leftMm: 0,
    columns: 1,
    rows: 1,
    labelWidthMm: widthMm,
    labelHeightMm: heightMm,
    gapXMm: 0,
    gapYMm: 0,
  };
}
