import type { GivenGrade } from "../../../station/model/specimen.js";

/**
 * The latest word of another screen that said something else before this grade came in; null where there is none, or where it was
 * taken back there, or the screen that gave the grade had seen it and said the same.
 */
export function otherScreens({ value, by, before }: GivenGrade): GivenGrade["before"][number] | null {
  const other = before.find((each) => each.by !== by) ?? null;
  return other === null || other.value === null || other.value === value ? null : other;
}
