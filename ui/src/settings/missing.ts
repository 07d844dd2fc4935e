import type { RefObject } from "preact";
import { useState } from "preact/hooks";
import type { Refusal } from "../link/ask.js";
import { useExpected } from "./expected.js";

type Expected = ReadonlyMap<string, string>;

export interface Missing {
  /** What was expected, by field, once somebody wanted to go on without it. */
  readonly expected: Expected;
  /** Whether all is there; where it is not, that is said, and the keyboard is brought to the first field it is missing from. */
  readonly allThere: () => boolean;
}

/**
 * For a form whose button can always be pressed: one that cannot is passed over by the keyboard, and tells nobody what it waits for.
 * @param missing what is missing now, by field: in the words that follow "Expected"
 */
export function useMissing(
  form: RefObject<HTMLElement | null>,
  missing: Expected,
  refusal: Refusal | null = null,
): Missing {
  const [told, setTold] = useState<Expected>(new Map());
  const expected = useExpected(refusal, told, form, missing);
  const allThere = () => {
    // A new one each time, so that each press brings the keyboard there.
    setTold(new Map(missing));
    return missing.size === 0;
  };
  return { expected, allThere };
}

/** Of what is asked for that which is not there, in the order of the form. */
export function absent(asked: Readonly<Record<string, readonly [there: boolean, words: string]>>): Expected {
  return new Map(Object.entries(asked).flatMap(([field, [there, words]]) => (there ? [] : [[field, words]])));
}
