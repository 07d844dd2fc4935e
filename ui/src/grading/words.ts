import { type PropertyId, propertyOf } from "../../../station/model/grade.js";
import { asEntered, NO_VALUE } from "../words/number.js";
import type { Entered, Tally } from "./waiting.js";

const NO_BREAK = "\u00a0";

/** What a property was given, in words: the grade's own, or the number with its unit. */
export function valueWords(id: PropertyId, value: number | null): string {
  if (value === null) return "taken back";
  const property = propertyOf(id);
  if (property.as === "grade") return property.grades[value]?.word ?? NO_VALUE;
  return `${asEntered(value)}${NO_BREAK}${property.unit}`;
}

export function enteredWords(entered: Entered): string {
  if (entered.kind === "photo") return "a photo";
  const { property, body } = entered;
  const second = body.grading === 2 ? ", second grading" : "";
  return `${propertyOf(property).name}: ${valueWords(property, body.value)}${second}`;
}

/** "3 grades and 1 photo wait" */
export function tallyWords({ count, photos }: Tally): string {
  const grades = count - photos;
  const parts = [
    ...(grades > 0 ? [grades === 1 ? "1 grade" : `${grades} grades`] : []),
    ...(photos > 0 ? [photos === 1 ? "1 photo" : `${photos} photos`] : []),
  ];
  return `${parts.join(" and ")} ${count === 1 ? "waits" : "wait"}`;
}
