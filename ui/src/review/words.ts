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

/** A sentence under its own heading and sign, without the words of both: "Room: no sign. It was…" is "It was…". */
export function underVerdict(sentence: string, name: string, verdict: ConditionVerdict): string {
  const opening = `${name}: ${verdict}. `;
  return sentence.startsWith(opening) ? sentence.slice(opening.length) : sentence;
}

/** What is said of several conditions alike: once, after all their names. */
export function saidOfSeveral(
  all: readonly { readonly name: string; readonly warnings: readonly string[] }[],
): { readonly often: ReadonlySet<string>; readonly sentences: readonly string[] } {
  const names = new Map<string, string[]>();
  for (const { name, warnings } of all)
    for (const warning of new Set(warnings)) names.set(warning, [...(names.get(warning) ?? []), name]);
  const several = [...names].filter(([, its]) => its.length > 1);
  return {
    often: new Set(several.map(([warning]) => warning)),
    sentences: several.map(([warning, its]) => `${its.join(", ")}: ${warning}`),
  };
}
