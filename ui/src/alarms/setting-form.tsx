import { useRef, useState } from "preact/hooks";
import { PRIORITIES } from "../../../station/model/alarm.js";
import type { AlarmSettingView } from "../../../station/model/alarm-setting.js";
import { may } from "../access/me.js";
import { useDoing } from "../link/asked.js";
import { PRIORITY_WORDS } from "../marks/priority-words.js";
import { FormRefusal, useExpected } from "../settings/expected.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { anyUnitLabel, asEntered } from "../words/number.js";
import { askAlarms } from "./ask-alarms.js";
import { changesIn, draftOfSetting, FIELD_WORDS, fieldText, TEXTS } from "./setting-words.js";

const DELAYS = ["onDelayS", "offDelayS"] as const;

/** How the owner sets an alarm otherwise: at once, with a reason, and with a way back. */
export function SettingForm({ view, kept }: { view: AlarmSettingView; kept: (said: string) => void }) {
  const { definition, file, changed, limits } = view;
  const form = useRef<HTMLFormElement>(null);
  const [draft, setDraft] = useState(() => draftOfSetting(definition));
  const [why, setWhy] = useState("");
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const { busy, refusal, attempt } = useDoing();
  const expected = useExpected(refusal, wrong, form);
  const unit = anyUnitLabel(definition.unit);
  const change = (field: keyof typeof draft) => (value: string) => setDraft({ ...draft, [field]: value });
  const whyWrong = () => (why.trim().length < 3 ? new Map([["why", "why it is to be so"]]) : new Map());

  const keep = async () => {
    const read = changesIn(draft, definition);
    const all = new Map([...read.wrong, ...whyWrong()]);
    setWrong(all);
    if (all.size > 0) return;
    if (!(await attempt(() => askAlarms.set(definition.id, read.set, why.trim())))) return;
    kept("Set. It holds from now on.");
  };
  const back = async () => {
    const all = whyWrong();
    setWrong(all);
    if (all.size > 0) return;
    if (!(await attempt(() => askAlarms.toFile(definition.id, why.trim())))) return;
    kept("As station.yaml has it, from now on.");
  };
  const filed = (field: (typeof changed)[number]) =>
    changed.includes(field) ? `station.yaml: ${fieldText(field, file[field], file.unit)}` : undefined;
  const range = ([least, most]: readonly [number, number]) => `${asEntered(least)} to ${asEntered(most)}`;

  return (
    <form
      class="card"
      ref={form}
      noValidate
      aria-labelledby="setting-title"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <h2 id="setting-title">Set it otherwise</h2>
      <p class="soft">
        It holds at once, and over station.yaml. The coolant range that runs are flagged by is not changed by
        it.
      </p>
      <div class="fields">
        {limits.setpoint !== null && (
          <TypedField
            name="setpoint"
            label={FIELD_WORDS.setpoint}
            unit={unit}
            kind="number"
            value={draft.setpoint}
            wrong={expected}
            change={change("setpoint")}
          >
            {filed("setpoint") ?? range(limits.setpoint)}
          </TypedField>
        )}
        {limits.deadband !== null && (
          <TypedField
            name="deadband"
            label={FIELD_WORDS.deadband}
            unit={unit}
            kind="number"
            value={draft.deadband}
            wrong={expected}
            change={change("deadband")}
          >
            {filed("deadband")}
          </TypedField>
        )}
        {DELAYS.map((field) => (
          <TypedField
            key={field}
            name={field}
            label={FIELD_WORDS[field]}
            unit="s"
            kind="number"
            value={draft[field]}
            wrong={expected}
            change={change(field)}
          >
            {filed(field)}
          </TypedField>
        ))}
        <TypedField
          name="reAlarmMin"
          label={FIELD_WORDS.reAlarmMin}
          unit="min"
          kind="number"
          value={draft.reAlarmMin}
          wrong={expected}
          change={change("reAlarmMin")}
        >
          {filed("reAlarmMin") ?? "Empty: it does not sound again."}
        </TypedField>
        <TypedField
          name="respondWithinS"
          label={FIELD_WORDS.respondWithinS}
          unit="s"
          kind="number"
          value={draft.respondWithinS}
          wrong={expected}
          change={change("respondWithinS")}
        >
          {filed("respondWithinS")}
        </TypedField>
        <fieldset class="field field-whole">
          <legend>{FIELD_WORDS.priority}</legend>
          <div class="choices">
            {PRIORITIES.map((priority) => (
              <label class="choice" key={priority}>
                <input
                  type="radio"
                  name="priority"
                  checked={draft.priority === priority}
                  onChange={() => setDraft({ ...draft, priority })}
                />
                <span>{PRIORITY_WORDS[priority]}</span>
              </label>
            ))}
            <label class="choice">
              <input
                type="checkbox"
                checked={draft.latching}
                onChange={(event) => setDraft({ ...draft, latching: event.currentTarget.checked })}
              />
              <span>Stays until it is reset</span>
            </label>
          </div>
        </fieldset>
        {TEXTS.map((field) => (
          <TypedField
            key={field}
            name={field}
            label={FIELD_WORDS[field]}
            kind="lines"
            most={400}
            wide="whole"
            value={draft[field]}
            wrong={expected}
            change={change(field)}
          >
            {changed.includes(field) ? filed(field) : undefined}
          </TypedField>
        ))}
        <TypedField
          name="why"
          label="Why it is to be so"
          most={300}
          wide="whole"
          value={why}
          wrong={expected}
          change={setWhy}
        >
          Stays with the value, for whoever asks later.
        </TypedField>
      </div>
      <FormRefusal refusal={refusal} wrong={expected} />
      {!may("owner") && <p class="soft">Only an owner can change this.</p>}
      <div class="form-keys">
        <button type="submit" class="button button-main" data-testid="set-alarm" aria-disabled={busy}>
          Set
        </button>
        {changed.length > 0 && (
          <button
            type="button"
            class="button"
            data-testid="alarm-to-file"
            aria-disabled={busy}
            onClick={() => void back()}
          >
            Back to station.yaml
          </button>
        )}
      </div>
    </form>
  );
}
