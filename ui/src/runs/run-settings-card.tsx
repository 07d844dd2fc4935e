import { useRef, useState } from "preact/hooks";
import type { Run, RunSettings } from "../../../station/model/run.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { draftOf, NUMBER_FIELDS, settingsOf, TEXT_FIELDS } from "../settings/draft.js";
import { FormRefusal, useExpected } from "../settings/expected.js";
import { SettingsFields } from "../settings/fields.js";
import { asEntered } from "../words/number.js";

function rowsOf(settings: RunSettings): readonly (readonly [label: string, text: string])[] {
  const rows: [string, string][] = [];
  for (const { key, label } of TEXT_FIELDS) rows.push([label, settings[key] ?? ""]);
  for (const { key, label, unit } of NUMBER_FIELDS) {
    const value = settings[key];
    rows.push([label, value === undefined ? "" : `${asEntered(value)} ${unit}`]);
  }
  rows.push(["Air assist", settings.air_assist ?? ""], ["Note", settings.note ?? ""]);
  return rows;
}

function Correction({ run, done, leave }: { run: Run; done: (run: Run) => void; leave: () => void }) {
  const [draft, setDraft] = useState(() => draftOf(run.settings));
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const { busy, refusal, attempt } = useDoing();
  const form = useRef<HTMLFormElement>(null);
  const expected = useExpected(refusal, wrong, form, settingsOf(draft).wrong);
  const keep = async () => {
    const read = settingsOf(draft);
    setWrong(read.wrong);
    if (read.wrong.size > 0) return;
    await attempt(async () => done(await ask.correct(run.id, read.settings)));
  };
  return (
    <form
      ref={form}
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <p>This changes what was entered. The stamped conditions stay as they are.</p>
      <SettingsFields draft={draft} wrong={expected} change={setDraft} />
      <FormRefusal refusal={refusal} wrong={expected} />
      <div class="spread">
        <button type="button" class="button" onClick={leave}>
          Leave as it was
        </button>
        <button type="submit" class="button button-main" data-testid="settings-keep" aria-disabled={busy}>
          Keep the correction
        </button>
      </div>
    </form>
  );
}

/** The settings of a run, and the way to put a wrong entry right. */
export function RunSettingsCard({ run, changed }: { run: Run; changed: (run: Run) => void }) {
  const [correcting, setCorrecting] = useState(false);
  return (
    <section class="card" aria-labelledby="settings-title">
      <h2 id="settings-title">Settings</h2>
      {correcting ? (
        <Correction
          run={run}
          leave={() => setCorrecting(false)}
          done={(answer) => {
            changed(answer);
            setCorrecting(false);
          }}
        />
      ) : (
        <>
          <dl class="facts">
            {rowsOf(run.settings).map(([label, text]) => (
              <div key={label}>
                <dt>{label}</dt>
                <dd>{text === "" ? <span class="soft">not said</span> : text}</dd>
              </div>
            ))}
          </dl>
          <button
            type="button"
            class="button"
            data-testid="settings-correct"
            onClick={() => setCorrecting(true)}
          >
            Correct
          </button>
        </>
      )}
    </section>
  );
}
