import { type Limits, limitWords, within } from "./limits.js";

/** Reads a form: each value as typed, and what was expected where it is none, by the name of the field. */
export interface Reading {
  /** A number with a decimal comma or point; undefined where nothing was typed, or no number. */
  number(name: string, typed: string, limits?: Limits): number | undefined;
  /** The same, of a field that must not be left empty. */
  needed(name: string, typed: string, limits?: Limits): number;
  /** At most `most` numbers, each within its limits. */
  numbers(name: string, list: TypedList, limits?: Limits, most?: number): number[];
  text(typed: string): string | undefined;
  readonly wrong: Map<string, string>;
}

/** Numbers that were taken from a field one after another, and what still stands in it. */
export interface TypedList {
  readonly taken: readonly number[];
  readonly typing: string;
}

export const NOTHING_TYPED: TypedList = { taken: [], typing: "" };

/** A decimal comma counts as a point; null for what is no number. Thousands are not parted by anything. */
export function typedNumber(typed: string): number | null {
  const text = typed.trim().replace(",", ".");
  return /^[+-]?(?:\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : null;
}

/** A sum as people write it, with or without its currency: "4,90 €", "kr 45"; what is no sum stays as it is. */
export function withoutCurrency(typed: string): string {
  const found = /^(?:\p{Sc}|\p{L}{1,8}\.?)?\s*([\d.,]+)\s*(?:\p{Sc}|\p{L}{1,8}\.?)?$/u.exec(typed.trim());
  return found?.[1] ?? typed;
}

/** Numbers with a space, a semicolon or a line's end between them; null where one of them is no number. */
export function typedNumbers(typed: string): number[] | null {
  const parts = typed.split(/(?:,\s|[\s;])+/).filter((part) => part !== "");
  const numbers = parts.map(typedNumber);
  return numbers.includes(null) ? null : (numbers as number[]);
}

/** The list with what stands in the field taken too; as it was where that is no number. */
export function takeTyped(list: TypedList): TypedList {
  const numbers = typedNumbers(list.typing);
  return numbers === null ? list : { taken: [...list.taken, ...numbers], typing: "" };
}

/** What is out of its limits is wrong as well as what is no number, so that a form tells all its faults at once. */
export function readForm(): Reading {
  const wrong = new Map<string, string>();
  const number = (name: string, typed: string, limits: Limits = {}) => {
    if (typed.trim() === "") return undefined;
    const value = typedNumber(typed);
    if (value === null || !within(value, limits)) wrong.set(name, limitWords(limits));
    return value ?? undefined;
  };
  return {
    wrong,
    number,
    needed(name, typed, limits = {}) {
      const value = number(name, typed, limits);
      if (value === undefined) wrong.set(name, limitWords(limits));
      return value ?? Number.NaN;
    },
    numbers(name, list, limits = {}, most = Number.POSITIVE_INFINITY) {
      const { taken, typing } = takeTyped(list);
      const unfit = taken.find((value) => !within(value, limits));
      if (typing.trim() !== "") wrong.set(name, "numbers, with a space between two");
      else if (unfit !== undefined) wrong.set(name, `${limitWords(limits)}, and not ${unfit}`);
      else if (taken.length > most) wrong.set(name, `at most ${most} of them`);
      return [...taken];
    },
    text: (typed) => (typed.trim() === "" ? undefined : typed.trim()),
  };
}
