import type { GradingSheet } from "../../../station/model/specimen.js";
import type { EnteredGrade, EnteredPhoto, Waiting } from "../../../ui/src/grading/waiting.js";

/** A sheet of one property and nothing given. */
export function sheetOf(changes: Partial<GradingSheet> = {}): GradingSheet {
  return {
    code: "AC34E",
    plan: { id: "00000000-0000-4000-8000-00000000000a", number: 1, title: "Two boards" },
    blind: true,
    lotName: null,
    setting: null,
    state: "cut",
    twice: true,
    properties: ["through", "back_fuzz", "press_out_N"],
    grading: 1,
    grades: {},
    bending: null,
    photos: [],
    ...changes,
  };
}

let made = 0;

/** A grade of "Cut through" that was entered on this device; its time counts up. */
export function gradeOf(value: number | null, changes: Partial<EnteredGrade> = {}): EnteredGrade {
  made += 1;
  return {
    kind: "grade",
    entry: `entry-${made}`,
    subject: "AC34E",
    property: "through",
    body: { value, grading: 1 },
    enteredWall: 1000 + made,
    by: "phone",
    ...changes,
  };
}

export function photoOf(changes: Partial<EnteredPhoto> = {}): EnteredPhoto {
  made += 1;
  const wall = 1000 + made;
  return {
    ...{ kind: "photo", entry: `entry-${made}`, subject: "AC34E", note: "", bytes: 3, enteredWall: wall },
    by: "phone",
    ...changes,
  };
}

export function queued(
  entered: EnteredGrade | EnteredPhoto,
  place: number,
  refused: string | null = null,
): Waiting {
  return { ...entered, place, refused };
}
