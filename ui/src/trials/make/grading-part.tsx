import { PROPERTY_IDS, type PropertyId, propertyOf } from "../../../../station/model/grade.js";
import { CHECK_IDS, CHECKS } from "../../../../station/model/plan.js";
import { TypedField } from "../typed/typed-field.js";
import { type PartProps, turned, typedIn } from "./part.js";

const GROUPS: readonly { readonly name: string; readonly holds: (id: PropertyId) => boolean }[] = [
  { name: "Looked at", holds: (id) => propertyOf(id).as === "grade" },
  { name: "Measured", holds: (id) => propertyOf(id).as === "measure" && !id.startsWith("bend_") },
];
/** A bending test is made whole or not at all: its measures are worth nothing one by one. */
const BENDING = PROPERTY_IDS.filter((id) => id.startsWith("bend_"));

function BendingChoice({ draft, change }: PartProps) {
  return (
    <fieldset class="field part-group">
      <legend>Bending test</legend>
      <label class="choice choice-line">
        <input
          type="checkbox"
          data-testid="choose-bending"
          checked={BENDING.every((id) => draft.properties.includes(id))}
          onChange={(event) => {
            const on = event.currentTarget.checked;
            const chosen = (id: PropertyId) => (BENDING.includes(id) ? on : draft.properties.includes(id));
            change({ ...draft, properties: PROPERTY_IDS.filter(chosen) });
          }}
        />
        <span>
          <strong>In three points, EN 310</strong>{" "}
          <span class="soft">
            Entered of each specimen: {BENDING.map((id) => propertyOf(id).name).join("; ")}.
          </span>
        </span>
      </label>
    </fieldset>
  );
}

/** What is graded, and how fairly. */
export function GradingPart(props: PartProps) {
  const { draft, wrong, change } = props;
  return (
    <fieldset class="card part" aria-invalid={wrong.has("properties")} tabIndex={-1}>
      <legend>Grading</legend>
      {GROUPS.map(({ name, holds }) => (
        <fieldset class="field part-group" key={name}>
          <legend>{name}</legend>
          <div class="choice-grid">
            {PROPERTY_IDS.filter(holds).map((id) => (
              <label class="choice choice-line" key={id}>
                <input
                  type="checkbox"
                  checked={draft.properties.includes(id)}
                  onChange={(event) => {
                    const chosen = turned(draft.properties, id, event.currentTarget.checked);
                    // Graded in the order of the rubric, and not in that of the presses.
                    change({ ...draft, properties: PROPERTY_IDS.filter((each) => chosen.includes(each)) });
                  }}
                />
                <span>{propertyOf(id).name}</span>
              </label>
            ))}
          </div>
        </fieldset>
      ))}
      <BendingChoice {...props} />
      {wrong.has("properties") && <p class="field-expected">Expected: {wrong.get("properties")}</p>}
      <label class="switch">
        <input
          type="checkbox"
          checked={draft.blind}
          onChange={(event) => change({ ...draft, blind: event.currentTarget.checked })}
        />
        <span>Blind: whoever grades sees the code, and neither lot nor setting</span>
      </label>
      <div class="fields">
        <TypedField {...typedIn(props)("second_share")} label="Graded a second time" unit="%" kind="number">
          Drawn by lot, to see how far the grader agrees with themselves.
        </TypedField>
      </div>
    </fieldset>
  );
}

/** What is looked at before each block, and the seed of the order. */
export function ChecksPart(props: PartProps) {
  const { draft, change } = props;
  const of = typedIn(props);
  return (
    <fieldset class="card part">
      <legend>Before each block</legend>
      <div class="choice-lines">
        {CHECK_IDS.map((id) => (
          <label class="choice choice-line" key={id}>
            <input
              type="checkbox"
              checked={draft.checks.includes(id)}
              onChange={(event) => {
                const chosen = turned(draft.checks, id, event.currentTarget.checked);
                change({ ...draft, checks: CHECK_IDS.filter((each) => chosen.includes(each)) });
              }}
            />
            <span>{CHECKS[id]}</span>
          </label>
        ))}
      </div>
      <div class="fields">
        <TypedField {...of("note")} label="Note" kind="lines" most={1000} wide="whole" />
      </div>
      <p class="form-words" data-testid="plan-seed">
        The order within each block is drawn by lot, from the seed <strong>{draft.seed}</strong>, which is
        kept with the plan.
      </p>
    </fieldset>
  );
}
