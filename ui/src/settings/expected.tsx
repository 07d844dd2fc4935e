import type { RefObject } from "preact";
import { useEffect, useMemo } from "preact/hooks";
import type { Refusal } from "../link/ask.js";
import { RefusalText } from "../marks/refusal.js";

type Expected = ReadonlyMap<string, string>;

/**
 * What was expected, by field: of the station and, over it, of this page. Every new refusal brings the person to the first
 * field that is not right.
 */
export function useExpected(
  refusal: Refusal | null,
  wrong: Expected,
  form: RefObject<HTMLElement | null>,
): Expected {
  const expected = useMemo(() => new Map([...(refusal?.fields ?? []), ...wrong]), [refusal, wrong]);
  useEffect(() => {
    if (expected.size > 0) form.current?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus();
  }, [expected]);
  return expected;
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
