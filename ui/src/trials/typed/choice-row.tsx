import { useId } from "preact/hooks";

interface Props<V extends string> {
  readonly legend: string;
  readonly choices: readonly (readonly [value: V, words: string])[];
  readonly value: V;
  readonly change: (value: V) => void;
}

/** One of a few, each a target of its own. */
export function ChoiceRow<V extends string>({ legend, choices, value, change }: Props<V>) {
  const name = useId();
  return (
    <fieldset class="field field-whole">
      <legend>{legend}</legend>
      <div class="choices choices-free">
        {choices.map(([each, words]) => (
          <label class="choice" key={each}>
            <input
              type="radio"
              name={name}
              value={each}
              checked={value === each}
              onChange={() => change(each)}
            />
            <span>{words}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
