import { useId } from "preact/hooks";
import { LONGEST_PERSON } from "../../../station/model/access.js";

interface Props {
  readonly label: string;
  readonly value: string;
  readonly change: (value: string) => void;
  /** As browsers' own stores of passphrases know it. */
  readonly autocomplete?: "username" | "off";
  readonly expected: string | undefined;
  readonly testId?: string;
}

/** The name that a person or a phone is known by. */
export function NameField({ label, value, change, autocomplete = "off", expected, testId }: Props) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type="text"
        data-testid={testId}
        autocomplete={autocomplete}
        maxLength={LONGEST_PERSON}
        value={value}
        aria-invalid={expected !== undefined}
        aria-describedby={expected === undefined ? undefined : `${id}-expected`}
        onInput={(event) => change(event.currentTarget.value)}
      />
      {expected !== undefined && (
        <p class="field-expected" id={`${id}-expected`}>
          Expected {expected}.
        </p>
      )}
    </div>
  );
}
