import { PROPERTY_IDS, type PropertyId, propertyOf } from "../../../../station/model/grade.js";
import type { Grades } from "../../../../station/model/specimen.js";
import { asEntered } from "../../words/number.js";

/** A grade by its word, or what was measured with its unit. */
export function gradeWord(id: PropertyId, value: number): string {
  const property = propertyOf(id);
  if (property.as === "grade") return property.grades[value]?.word ?? asEntered(value);
  return `${asEntered(value)}\u00a0${property.unit}`;
}

/** "Cut through: Finger", in the order of the rubric. */
export function gradeList(grades: Grades): string[] {
  return PROPERTY_IDS.flatMap((id) => {
    const given = grades[id];
    return given === undefined ? [] : [`${propertyOf(id).name}: ${gradeWord(id, given.value)}`];
  });
}
