import { useId, useState } from "preact/hooks";
import { propertyOf } from "../../../station/model/grade.js";
import { forceUnit, nextForceUnit } from "./force-unit.js";
import { GivenLine } from "./given-line.js";
import { type CardProps, cardId } from "./grade-card.js";
import { inKg, isForce, typedNumber } from "./typed-number.js";
import { valueWords } from "./words.js";

/** A number field with its unit. It is kept when the field is left, too: nothing that was typed is lost by scrolling on. */
export function MeasureField({
  id,
  given,
  waits,
  today,
  put,
  heading,
}: CardProps & { heading: "h2" | "h3" }) {
  const field = useId();
  /** As typed; null while it shows what was given. */
  const [typed, setTyped] = useState<string | null>(null);
  const [expected, setExpected] = useState<string | null>(null);
  const property = propertyOf(id);
  if (property.as !== "measure") return null;
  const Heading = heading;
  const force = isForce(id);
  const unit = force ? forceUnit.value : "own";
  const shown = given === undefined ? "" : String(unit === "kg" ? inKg(given.value) : given.value);
  const keep = () => {
    if (typed === null) return;
    const read = typedNumber(id, typed, unit);
    if (read !== null && "expected" in read) {
      setExpected(read.expected);
      return;
    }
    setExpected(null);
    setTyped(null);
    if (read !== null && read.value !== given?.value) put(id, read.value);
  };
  return (
    <form
      class="measure"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        keep();
      }}
      data-testid={`measure-${id}`}
    >
      <Heading id={cardId(id)} tabIndex={-1}>
        <label for={field}>{property.name}</label>
      </Heading>
      <p class="soft">{property.how}</p>
      <div class="measure-row">
        <span class="field measure-input">
          <input
            id={field}
            type="text"
            inputMode="decimal"
            autoComplete="off"
            enterKeyHint="done"
            value={typed ?? shown}
            aria-invalid={expected !== null}
            aria-describedby={`${field}-about`}
            onInput={(event) => setTyped(event.currentTarget.value)}
            onBlur={keep}
          />
        </span>
        {force ? (
          <button
            type="button"
            class="button measure-unit"
            data-testid={`unit-${id}`}
            onClick={nextForceUnit}
          >
            {unit === "kg" ? "kg" : "N"}
            <span class="unseen">: type it in {unit === "kg" ? "N" : "kg"} instead</span>
          </button>
        ) : (
          <span class="measure-unit">{property.unit}</span>
        )}
        <button type="submit" class="button" data-testid={`keep-${id}`}>
          Keep
        </button>
      </div>
      <p id={`${field}-about`} class={expected === null ? "soft" : "field-expected"}>
        {expected === null
          ? `${property.least} to ${property.most} ${property.unit}${
              force && given !== undefined ? `. Given: ${valueWords(id, given.value)}` : ""
            }`
          : `Not kept. Expected: ${expected}`}
      </p>
      <GivenLine id={id} given={given} waits={waits} today={today} put={put} />
    </form>
  );
}
