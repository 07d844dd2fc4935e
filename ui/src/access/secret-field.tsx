import type { ComponentChildren } from "preact";
import { useId, useState } from "preact/hooks";

interface SecretFieldProps {
  readonly label: string;
  readonly value: string;
  readonly change: (value: string) => void;
  /** As browsers' own stores of passphrases know it. */
  readonly autocomplete: "current-password" | "new-password" | "off";
  readonly expected?: string | undefined;
  readonly testId?: string;
  readonly children?: ComponentChildren;
}

/** A passphrase as it is typed; whoever has nobody behind them may look at it. */
export function SecretField({
  label,
  value,
  change,
  autocomplete,
  expected,
  testId,
  children,
}: SecretFieldProps) {
  const id = useId();
  const [shown, setShown] = useState(false);
  return (
    <div class="field field-secret">
      <label for={id}>{label}</label>
      <input
        id={id}
        data-testid={testId}
        {...(shown ? { type: "text" } : { type: "password" })}
        autocomplete={autocomplete}
        autocapitalize="none"
        spellcheck={false}
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
      {children}
      <label class="secret-shown">
        <input type="checkbox" checked={shown} onChange={(event) => setShown(event.currentTarget.checked)} />{" "}
        Show what is typed
      </label>
    </div>
  );
}
