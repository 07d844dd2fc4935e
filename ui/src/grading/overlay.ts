import type { GivenGrade, GradingSheet } from "../../../station/model/specimen.js";
import type { Entered, EnteredGrade } from "./waiting.js";

/**
 * The sheet with a grade that was entered here, as the station will have it. One that is in it already changes nothing, so that
 * the same may be laid over a sheet before and after the station has kept it.
 */
export function withGrade(sheet: GradingSheet, entered: EnteredGrade): GradingSheet {
  const { subject, property, body, enteredWall: wall, by } = entered;
  if (subject !== sheet.code || body.grading !== sheet.grading) return sheet;
  const given = sheet.grades[property];
  const history: GivenGrade["before"] =
    given === undefined ? [] : [{ value: given.value, wall: given.wall, by: given.by }, ...given.before];
  if (history.some((each) => each.wall === wall && each.value === body.value)) return sheet;
  const { [property]: _was, ...others } = sheet.grades;
  const grades =
    body.value === null
      ? others
      : { ...others, [property]: { value: body.value, wall, by, before: history } };
  return { ...sheet, grades };
}

/** The sheet with everything that was entered here, in the order in which it was. */
export function withEntered(sheet: GradingSheet, entered: readonly Entered[]): GradingSheet {
  return entered.reduce((shown, each) => (each.kind === "grade" ? withGrade(shown, each) : shown), sheet);
}
