import type { RefObject } from "preact";
import { useEffect, useMemo } from "preact/hooks";
import type { Refusal } from "../link/ask.js";
import { RefusalText } from "../marks/refusal.js";
import { stillWrong } from "./still-wrong.js";

type Expected = ReadonlyMap<string, string>;

/** A field, or a choice, which says what was expected but may not be called invalid as a whole (WAI-ARIA 1.2, aria-invalid). */
const WRONG = '[aria-invalid="true"], fieldset:has(> .field-expected)';

/**
 * What was expected, by field: of the station and, over it, of this page. Every new refusal brings the person to the first
 * field that is not right.
 * @param wrong as it was when somebody wanted to keep the form
 * @param still as it is now: what was put right since is no longer said to be wrong, and what became wrong since is not said yet
 */
export function useExpected(
  refusal: Refusal | null,
  wrong: Expected,
  form: RefObject<HTMLElement | null>,
  still: Expected = wrong,
): Expected {
  const told = useMemo(() => new Map([...(refusal?.fields ?? []), ...wrong]), [refusal, wrong]);
  useEffect(() => {
    if (told.size === 0) return;
    const first = form.current?.querySelector<HTMLElement>(WRONG);
    (first?.querySelector<HTMLElement>("input") ?? first)?.focus();
  }, [told]);
  return new Map([...(refusal?.fields ?? []), ...stillWrong(wrong, still)]);
}

/** Why the form was not kept: beside its fields where it can be, in the station's words otherwise. */
export function FormRefusal({ refusal, wrong }: { refusal: Refusal | null; wrong: Expected }) {
  if (wrong.size === 0) return <RefusalText refusal={refusal} />;
  return (
    <p class="refusal" role="alert">
      {wrong.size === 1
        ? "Not kept: one entry is not right."
        : `Not kept: ${wrong.size} entries are not right.`}
    </p>
  );
}
