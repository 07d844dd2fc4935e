import type { ComponentChildren } from "preact";
import { useId, useRef } from "preact/hooks";
import { asEntered } from "../../words/number.js";
import { type TypedList, takeTyped } from "./numbers.js";

interface Props {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  readonly list: TypedList;
  readonly wrong: ReadonlyMap<string, string>;
  readonly change: (list: TypedList) => void;
  readonly children?: ComponentChildren;
}

/** Numbers that are typed one after another, each shown with the way to take it out again. */
export function NumberList({ name, label, unit, list, wrong, change, children }: Props) {
  const id = useId();
  const input = useRef<HTMLInputElement>(null);
  const expected = wrong.get(name);
  const take = () => {
    change(takeTyped(list));
    input.current?.focus();
  };
  return (
    <div class="field field-whole">
      <label for={id}>
        {label}
        <span class="field-unit"> {unit}</span>
      </label>
      <div class="number-list">
        {list.taken.map((value, i) => (
          // The same number may stand there twice, and none of them moves but by being taken out.
          <button key={`${i} ${value}`} type="button" class="taken" onClick={() => drop(i)}>
            <span class="unseen">Take out </span>
            {asEntered(value)}
            <span aria-hidden="true"> ×</span>
          </button>
        ))}
        <input
          ref={input}
          id={id}
          name={name}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          value={list.typing}
          aria-invalid={expected !== undefined}
          aria-describedby={`${id}-more`}
          onInput={(event) => change({ ...list, typing: event.currentTarget.value })}
          onKeyDown={(event) => {
            if ((event.key === "Enter" || event.key === " ") && list.typing.trim() !== "") {
              event.preventDefault();
              take();
            }
          }}
        />
        <button type="button" class="button" onClick={take}>
          Add
        </button>
      </div>
      <p class="field-more" id={`${id}-more`}>
        {children}
      </p>
      {expected !== undefined && <p class="field-expected">Expected: {expected}</p>}
    </div>
  );

  function drop(place: number): void {
    change({ ...list, taken: list.taken.filter((_, i) => i !== place) });
  }
}
