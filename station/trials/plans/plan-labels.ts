import { AppError } from "../../errors.js";
import type { LabelSheet, LabelsView } from "../../model/label.js";
import type { PlanView } from "../../model/specimen.js";
import { strokesToDxf } from "../labels/dxf.js";
import { qrCode } from "../labels/qr.js";
import { layLabels, sheetFaults } from "../labels/sheet.js";
import { type StrokeText, strokesToSvg, strokeText } from "../labels/strokes.js";

export interface LabelsAsked {
  readonly sheet: LabelSheet;
  /** How many labels of the first sheet have been used already. */
  readonly used: number;
  /** Where the pages are, without a slash at its end: what the QR codes begin with. */
  readonly base: string;
}

/**
 * The labels of all specimens of a plan that were not cut yet, in the order of cutting.
 * @throws AppError "request-invalid" for sizes that do not fit
 */
export function planLabels(plan: PlanView, { sheet, used, base }: LabelsAsked): LabelsView {
  const [fault] = sheetFaults(sheet);
  if (fault !== undefined) throw new AppError("request-invalid", fault);
  if (used >= sheet.columns * sheet.rows)
    throw new AppError("request-invalid", "All labels of a sheet cannot have been used: begin a new one.");
  const specimens = new Map(
    plan.blocks.flatMap((block) => block.specimens.map((each) => [each.code, each] as const)),
  );
  const wanted = [...specimens.values()].filter(({ state }) => state === "waiting");
  const pages = layLabels(
    wanted.map(({ code }) => code),
    sheet,
    used,
  );
  return {
    sheetWidthMm: sheet.widthMm,
    sheetHeightMm: sheet.heightMm,
    pages: pages.map((labels) =>
      labels.map((label) => {
        const { block = 0, place = 0 } = specimens.get(label.code) ?? {};
        return { ...label, block, place, qr: qrCode(`${base}/s/${label.code}`) };
      }),
    ),
  };
}

/** Between two codes that are drawn below each other, in heights of a letter. */
const GAP = 1;

/** Codes to be engraved, single lines, the first at the top. */
export function engravedCodes(codes: readonly string[], heightMm: number, format: "svg" | "dxf"): string {
  const texts = codes.map((code) => strokeText(code, heightMm));
  const rowMm = heightMm * (1 + GAP);
  const all: StrokeText = {
    strokes: texts.flatMap(({ strokes }, i) =>
      strokes.map((stroke) => stroke.map(([x, y]) => [x, y + (texts.length - 1 - i) * rowMm] as const)),
    ),
    widthMm: Math.max(...texts.map(({ widthMm }) => widthMm)),
    heightMm: (texts.length - 1) * rowMm + heightMm,
  };
  return format === "svg" ? strokesToSvg(all) : strokesToDxf(all);
}
