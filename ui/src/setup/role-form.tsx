import { useRef, useState } from "preact/hooks";
import { CHANNEL_KINDS, type ChannelKind } from "../../../station/model/quantity.js";
import type { RoleChange, SeenValue, SetupPreview, SetupView } from "../../../station/model/setup.js";
import { useDoing } from "../link/asked.js";
import { FormRefusal, useExpected } from "../settings/expected.js";
import { ChoiceRow } from "../trials/typed/choice-row.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { askSetup, type LooksAt } from "./ask-setup.js";
import { changeOf, draftOf, type RoleDraft } from "./role-draft.js";
import type { Chosen } from "./setup-page.js";
import { isItQuestion, kindsFor, pointWords, valueText } from "./words.js";
import { WrittenText } from "./written-text.js";

interface Props {
  readonly chosen: Chosen;
  readonly view: SetupView;
  readonly values: readonly SeenValue[];
  readonly at: LooksAt;
  readonly done: (words: string) => Promise<void>;
  readonly leave: () => void;
  readonly again: () => void;
}

/** What a thing is, its name, and the text that is written for it: nothing is written before it was shown. */
export function RoleForm({ chosen, view, values, at, done, leave, again }: Props) {
  const { thing, point } = chosen;
  const { file } = view;
  const form = useRef<HTMLFormElement>(null);
  const role = thing.roles.find((each) => each.point === null || each.point === point);
  const [draft, setDraft] = useState<RoleDraft>(() => draftOf(role));
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const [shown, setShown] = useState<{ change: RoleChange; preview: SetupPreview } | null>(null);
  const showing = useDoing();
  const unit = thing.points.find((each) => each.point === point)?.unit ?? "state";
  const seen = values.find((each) => each.key === thing.key && each.point === point);
  const asks = thing.sort === "line" && draft.kind !== null && draft.kind !== "extraction-speed";
  // Of a line that the station reads, what is told is the state and not the level.
  const high = seen?.value == null ? null : (seen.value === 1) !== thing.activeLow;
  const given = { thing, point, high, asks, first: !file.there };
  const expected = useExpected(showing.refusal, wrong, form, changeOf(draft, given).wrong);
  const change = (more: Partial<RoleDraft>) => setDraft({ ...draft, ...more });
  const preview = (asked: RoleChange) =>
    showing.attempt(async () =>
      setShown({ change: asked, preview: await askSetup.preview(asked, at, file.hash) }),
    );
  const show = async () => {
    const read = changeOf(draft, given);
    setWrong(read.wrong);
    if (read.change !== null) await preview(read.change);
  };
  if (shown !== null) {
    return (
      <WrittenText
        preview={shown.preview}
        write={async () => {
          await askSetup.write(shown.change, at, file.hash);
          await done("Written.");
        }}
        leave={() => setShown(null)}
        again={() => {
          // The file is another now, and so is what would be written.
          again();
          setShown(null);
        }}
      />
    );
  }
  return (
    <form
      class="card"
      ref={form}
      noValidate
      aria-labelledby="role-title"
      onSubmit={(event) => {
        event.preventDefault();
        void show();
      }}
    >
      <div class="setup-head">
        <h2 id="role-title">
          {thing.title}: {pointWords(point)} <span class="setup-now">{valueText(seen, null)}</span>
        </h2>
        <button type="button" class="button" data-testid="role-leave" onClick={leave}>
          Back to the list
        </button>
      </div>
      <fieldset class="field field-whole">
        <legend>What is it?</legend>
        <div class="choices choices-free">
          {kindsFor(unit, thing.sort).map((kind) => (
            <label class="choice" key={kind}>
              <input
                type="radio"
                name="kind"
                value={kind}
                checked={draft.kind === kind}
                onChange={() => change({ kind, name: nameFor(draft, kind) })}
              />
              <span>{CHANNEL_KINDS[kind].label}</span>
            </label>
          ))}
        </div>
        {expected.has("kind") && <p class="field-expected">Expected: {expected.get("kind")}</p>}
      </fieldset>
      {asks && draft.kind !== null && (
        <>
          <ChoiceRow
            legend={
              high === null
                ? "The line cannot be read now. At which level is it on?"
                : `The line is ${high ? "high" : "low"}. ${isItQuestion(draft.kind)}`
            }
            choices={
              high === null
                ? [
                    ["yes", "High"],
                    ["no", "Low"],
                  ]
                : [
                    ["yes", "Yes"],
                    ["no", "No"],
                  ]
            }
            value={draft.now ?? ""}
            change={(value) => change({ now: value === "" ? null : (value as "yes" | "no") })}
          />
          {expected.has("now") && <p class="field-expected">Expected: {expected.get("now")}</p>}
        </>
      )}
      <div class="fields">
        <TypedField
          name="name"
          label="Name"
          most={60}
          wide="half"
          value={draft.name}
          wrong={expected}
          change={(name) => change({ name })}
        />
      </div>
      {!file.there && (
        <fieldset class="fact-group">
          <legend>For the first station.yaml</legend>
          <div class="fields">
            <TypedField
              name="station"
              label="Name of the station"
              most={60}
              value={draft.station}
              wrong={expected}
              change={(station) => change({ station })}
            />
            <TypedField
              name="low"
              label="Coolant from"
              unit="°C"
              kind="number"
              value={draft.low}
              wrong={expected}
              change={(low) => change({ low })}
            />
            <TypedField
              name="high"
              label="Coolant up to"
              unit="°C"
              kind="number"
              value={draft.high}
              wrong={expected}
              change={(high_) => change({ high: high_ })}
            />
          </div>
          <p>
            The range is in the tube maker's manual. It is not guessed: alarms and every run are judged by it.
          </p>
        </fieldset>
      )}
      <FormRefusal refusal={showing.refusal} wrong={expected} />
      <div class="form-keys">
        <button type="submit" class="button button-main" data-testid="role-show" aria-disabled={showing.busy}>
          Show what is written
        </button>
        {role !== undefined && (
          <button
            type="button"
            class="button"
            data-testid="role-take"
            aria-disabled={showing.busy}
            onClick={() => void preview({ act: "take", channel: role.channel })}
          >
            Take the role away
          </button>
        )}
      </div>
    </form>
  );
}

/** A name that nobody typed goes along with the role. */
function nameFor({ kind, name }: RoleDraft, next: ChannelKind): string {
  return name === "" || (kind !== null && name === CHANNEL_KINDS[kind].label)
    ? CHANNEL_KINDS[next].label
    : name;
}
