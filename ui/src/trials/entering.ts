import type { SentEntry } from "../../../station/model/entry.js";
import { newId } from "../link/new-id.js";
import { screenName } from "../shell/screen-name.js";

type Step = Extract<SentEntry, { kind: "step" }>["body"]["step"];

const about = () => ({ entry: newId(), enteredWall: null, by: screenName() });

/** What becomes of a specimen at the machine. */
export function stepOf(code: string, step: Step, why = ""): SentEntry {
  return { ...about(), kind: "step", subject: code, property: "", body: { step, why } };
}

/** How far through it was cut, as graded at the machine: 0 for the best of the rubric; null takes it back. */
export function outcomeOf(code: string, value: number | null): SentEntry {
  return { ...about(), kind: "grade", subject: code, property: "through", body: { value, grading: 1 } };
}
