import { useId } from "preact/hooks";
import type { RunSettings } from "../../../station/model/run.js";
import { AIR_ASSIST, type Draft, NOTE_MOST, NUMBER_FIELDS, TEXT_FIELDS } from "./draft.js";

interface Props {
  readonly draft: Draft;
  /** What was expected, by field. */
  readonly wrong: ReadonlyMap<string, string>;
  readonly change: (draft: Draft) => void;
}

function Field(props: {
  readonly name: keyof RunSettings;
  readonly label: string;
  readonly unit?: string;
  readonly value: string;
  readonly expected: string | undefined;
  readonly numeric?: boolean;
  readonly most?: number;
  readonly onValue: (value: string) => void;
}) {
  const id = useId();
  const { name, label, unit, value, expected, numeric, most, onValue } = props;
  return (
    <div class={`field field-${name}`}>
      <label for={id}>
        {label}
        {unit ? <span class="field-unit"> {unit}</span> : null}
      </label>
      <input
        id={id}
        name={name}
        type="text"
        inputMode={numeric ? "decimal" : "text"}
        autoComplete="off"
        value={value}
        {...(most === undefined ? {} : { maxLength: most })}
        aria-invalid={expected !== undefined}
        aria-describedby={expected === undefined ? undefined : `${id}-expected`}
        onInput={(event) => onValue(event.currentTarget.value)}
      />
      {expected !== undefined && (
        <p class="field-expected" id={`${id}-expected`}>
          Expected: {expected}
        </p>
      )}
    </div>
  );
}

/** The fields of a job sheet or of the correction of a run. */
export function SettingsFields({ draft, wrong, change }: Props) {
  const noteId = useId();
  const airName = useId();
  const set = (key: keyof RunSettings) => (value: string) => change({ ...draft, [key]: value });
  return (
    <div class="fields">
      {TEXT_FIELDS.map(({ key, label, most }) => (
        <Field
          key={key}
          name={key}
          label={label}
          value={draft[key]}
          most={most}
          expected={wrong.get(key)}
          onValue={set(key)}
        />
      ))}
      {NUMBER_FIELDS.map(({ key, label, unit }) => (
        <Field
          key={key}
          name={key}
          label={label}
          unit={unit}
          value={draft[key]}
          numeric
          expected={wrong.get(key)}
          onValue={set(key)}
        />
      ))}
      <fieldset class="field field-air">
        <legend>Air assist</legend>
        <div class="choices">
          {["", ...AIR_ASSIST].map((step) => (
            <label class="choice" key={step}>
              <input
                type="radio"
                name={airName}
                value={step}
                checked={draft.air_assist === step}
                onChange={() => set("air_assist")(step)}
              />
              <span>{step === "" ? "not said" : step}</span>
            </label>
          ))}
        </div>
      </fieldset>
      <div class="field field-note">
        <label for={noteId}>Note</label>
        <textarea
          id={noteId}
          name="note"
          rows={2}
          maxLength={NOTE_MOST}
          value={draft.note}
          onInput={(event) => set("note")(event.currentTarget.value)}
        />
        {wrong.has("note") && <p class="field-expected">Expected: {wrong.get("note")}</p>}
      </div>
    </div>
  );
}
