import { PROPERTIES } from "../../../../station/model/grade.js";
import { ChoiceRow } from "../typed/choice-row.js";
import { NumberList } from "../typed/number-list.js";
import { TypedField } from "../typed/typed-field.js";
import { type PartProps, typedIn } from "./part.js";
import { type PlanTyped, unfitEnds } from "./plan-draft.js";
import { laidRungs } from "./rungs.js";

function LadderFields(props: PartProps) {
  const { draft, wrong, change } = props;
  const of = typedIn(props);
  const unit = draft.vary === "speed" ? "mm/s" : "%";
  // At once, and not when the plan is laid out: rungs are laid as the three are typed.
  const unfit = new Map([...wrong, ...unfitEnds(draft.typed, draft.vary)]);
  const end = (name: PlanTyped) => ({
    ...of(name),
    wrong: unfit,
    change: (value: string) => {
      const typed = { ...draft.typed, [name]: value };
      change({ ...draft, typed, rungs: laidRungs(typed.from, typed.to, typed.count, draft.rungs) });
    },
  });
  return (
    <div class="fields">
      <ChoiceRow
        legend="What changes from cut to cut"
        value={draft.vary}
        choices={[
          ["speed", "Speed"],
          ["power", "Power"],
        ]}
        change={(vary) => change({ ...draft, vary })}
      />
      <TypedField {...end("from")} label="From" unit={unit} kind="number" />
      <TypedField {...end("to")} label="To" unit={unit} kind="number" />
      <TypedField {...end("count")} label="Rungs" kind="number" />
      <TypedField {...of("replicates")} label="Blocks" kind="number">
        In each, every lot at every rung once.
      </TypedField>
      <NumberList
        name="rungs"
        label={draft.vary === "speed" ? "Speeds" : "Powers"}
        unit={unit}
        list={draft.rungs}
        wrong={wrong}
        change={(rungs) => change({ ...draft, rungs })}
      >
        Laid evenly by the three fields above; press one to take it out, or add any.
      </NumberList>
    </div>
  );
}

function SearchFields(props: PartProps) {
  const { draft, change } = props;
  const of = typedIn(props);
  const [fellOut, finger] = PROPERTIES.through.grades;
  return (
    <div class="fields">
      <TypedField {...of("slowest_mm_s")} label="Slowest" unit="mm/s" kind="number">
        Surely through.
      </TypedField>
      <TypedField {...of("fastest_mm_s")} label="Fastest" unit="mm/s" kind="number">
        Surely not.
      </TypedField>
      <TypedField {...of("step_mm_s")} label="Step" unit="mm/s" kind="number">
        In which the machine is set.
      </TypedField>
      <TypedField {...of("within_pct")} label="Stop within" unit="± %" kind="number" />
      <TypedField {...of("most_cuts")} label="Most cuts of a lot" kind="number" />
      <ChoiceRow
        legend="Counts as through"
        value={draft.throughUpTo === 0 ? "0" : "1"}
        choices={[
          ["0", `${fellOut.word} only`],
          ["1", `${fellOut.word}, or ${finger.word.toLowerCase()}`],
        ]}
        change={(value) => change({ ...draft, throughUpTo: value === "0" ? 0 : 1 })}
      />
    </div>
  );
}

/** How the settings are laid out, and what is the same for all cuts. */
export function SettingPart(props: PartProps) {
  const { draft, change } = props;
  const of = typedIn(props);
  return (
    <fieldset class="card part">
      <legend>Cuts</legend>
      <div class="fields">
        <ChoiceRow
          legend="Laid out as"
          value={draft.method}
          choices={[
            ["ladder", "A ladder: every lot at every rung"],
            ["search", "A search: the fastest speed that cuts through"],
          ]}
          change={(method) => change({ ...draft, method })}
        />
      </div>
      {draft.method === "ladder" ? <LadderFields {...props} /> : <SearchFields {...props} />}
      <p class="form-words">The same for all cuts:</p>
      <div class="fields">
        {draft.method === "ladder" && draft.vary === "power" ? (
          <TypedField {...of("speed_mm_s")} label="Speed" unit="mm/s" kind="number" />
        ) : (
          <TypedField {...of("power_pct")} label="Power" unit="%" kind="number" />
        )}
        <TypedField {...of("passes")} label="Passes" kind="number" />
        <ChoiceRow
          legend="Air assist"
          value={draft.air}
          choices={[
            ["", "not said"],
            ["off", "off"],
            ["low", "low"],
            ["high", "high"],
          ]}
          change={(air) => change({ ...draft, air })}
        />
      </div>
    </fieldset>
  );
}
