import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";

interface Props {
  readonly name: string;
  readonly label: string;
  readonly unit?: string;
  readonly value: string;
  readonly wrong: ReadonlyMap<string, string>;
  readonly change: (value: string) => void;
  readonly kind?: "text" | "number" | "date" | "lines";
  readonly most?: number;
  /** Names of what was typed here before. */
  readonly known?: readonly string[];
  /** Half a row, or a whole one. */
  readonly wide?: "half" | "whole";
  /** What it is for, under the field. */
  readonly children?: ComponentChildren;
}

/** A field with its label, its unit, and what was expected where it is not right. */
export function TypedField(props: Props) {
  const id = useId();
  const { name, label, unit, value, wrong, change, kind = "text", most, known, wide, children } = props;
  const expected = wrong.get(name);
  const about = [...(children ? [`${id}-more`] : []), ...(expected ? [`${id}-expected`] : [])].join(" ");
  const shared = {
    id,
    name,
    value,
    "aria-invalid": expected !== undefined,
    "aria-describedby": about === "" ? undefined : about,
    ...(most === undefined ? {} : { maxLength: most }),
  };
  return (
    <div class={`field${wide === undefined ? "" : ` field-${wide}`}`}>
      <label for={id}>
        {label}
        {unit ? <span class="field-unit"> {unit}</span> : null}
      </label>
      {kind === "lines" ? (
        <textarea {...shared} rows={2} onInput={(event) => change(event.currentTarget.value)} />
      ) : (
        <input
          {...shared}
          type={kind === "date" ? "date" : "text"}
          inputMode={kind === "number" ? "decimal" : "text"}
          autoComplete="off"
          {...(known === undefined ? {} : { list: `${id}-known` })}
          onInput={(event) => change(event.currentTarget.value)}
        />
      )}
      {known !== undefined && (
        <datalist id={`${id}-known`}>
          {known.map((each) => (
            <option key={each} value={each} />
          ))}
        </datalist>
      )}
      {children && (
        <p class="field-more" id={`${id}-more`}>
          {children}
        </p>
      )}
      {expected !== undefined && (
        <p class="field-expected" id={`${id}-expected`}>
          Expected: {expected}
        </p>
      )}
    </div>
  );
}
