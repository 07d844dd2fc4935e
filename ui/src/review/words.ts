import { type ConditionVerdict, REVIEW_CONDITIONS } from "../../../station/model/review.js";
import { asEntered, numberText } from "../words/number.js";

export const VERDICT_WORDS: Readonly<Record<ConditionVerdict, string>> = {
  explains: "Explains",
  "may explain": "May explain",
  "no sign": "No sign",
  "cannot tell": "Cannot tell",
};

/** A value of a condition with its unit. */
export function conditionText(id: string, value: number, unit: string): string {
  const facts = Object.hasOwn(REVIEW_CONDITIONS, id)
    ? REVIEW_CONDITIONS[id as keyof typeof REVIEW_CONDITIONS]
    : null;
  const number = facts === null ? asEntered(value) : numberText(value, facts.decimals);
  return unit === "" ? number : `${number}\u00a0${unit}`;
}

export function pText(p: number): string {
  if (p < 0.001) return "below 0.001";
  return numberText(p, p < 0.1 ? 3 : 2);
}

/** Whether there is a number to show; a station of another version may send none. */
export function isNumber(value: number | null | undefined): value is number {
  return value !== null && value !== undefined && Number.isFinite(value);
}
