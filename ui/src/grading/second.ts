import { type PropertyId, propertyOf } from "../../../station/model/grade.js";
import type { GradingSheet } from "../../../station/model/specimen.js";

/** The same person grades a second time overnight at the earliest, when the first is forgotten (common practice, no source). */
export const SECOND_AFTER_MS = 12 * 3_600_000;

/** What is graded in this grading: in the second what is a matter of judging, and no measuring. */
export function propertiesOf({ properties, grading }: GradingSheet): readonly PropertyId[] {
  return grading === 1 ? properties : properties.filter((id) => propertyOf(id).as === "grade");
}

export function isComplete(sheet: Pick<GradingSheet, "properties" | "grades">): boolean {
  return sheet.properties.every((id) => propertyOf(id).as !== "grade" || sheet.grades[id] !== undefined);
}

export type SecondOffer = "no" | "now" | { readonly from: number };

/**
 * Whether a second grading is due, of the sheet of the first: by whoever did not give the first, or from `from` on.
 * @param by the name of this screen @param wall now
 */
export function secondOffer(sheet: GradingSheet, by: string, wall: number): SecondOffer {
  if (!sheet.twice || !isComplete(sheet)) return "no";
  const given = Object.values(sheet.grades);
  if (given.every((grade) => grade.by !== by)) return "now";
  const from = Math.max(...given.map((grade) => grade.wall)) + SECOND_AFTER_MS;
  return wall >= from ? "now" : { from };
}
