import { useRef, useState } from "preact/hooks";
import { useRoute } from "preact-iso/router";
import { ALARM_GROUPS, type AlarmDefinition } from "../../../station/model/alarm.js";
import { type AlarmSettingView, SETTING_FIELDS } from "../../../station/model/alarm-setting.js";
import { useAsked, useDoing } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { NoSuch, RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { fullText, isoText } from "../words/time.js";
import { askAlarms } from "./ask-alarms.js";
import { SettingForm } from "./setting-form.js";
import { FIELD_WORDS, fieldText } from "./setting-words.js";
import { Suppressed } from "./suppressed.js";

/** One alarm: what it is for, how it is set and why, and what was changed of it. */
export function AlarmSettingPage() {
  usePageTitle("Alarm");
  const { id = "" } = useRoute().params;
  const alarm = decodeURIComponent(id);
  const { answer, refusal, again } = useAsked(`${start.value} ${alarm}`, () => askAlarms.setting(alarm));
  const [changes, setChanges] = useState(0);
  const [said, setSaid] = useState("");
  const kept = (words: string) => {
    setSaid(words);
    again();
    setChanges((n) => n + 1);
  };
  return (
    <div class="page">
      <PageTop back="/alarms" word="Alarms">
        <h1>{answer?.definition.title ?? "Alarm"}</h1>
      </PageTop>
      <NoSuch what="alarm" refusal={refusal} again={again} />
      {answer !== null && (
        <>
          <Rationalisation view={answer} />
          <Service alarm={answer.definition} />
          {/* Filled in anew with what the station has, once that is here. */}
          <SettingForm key={JSON.stringify(answer)} view={answer} kept={kept} />
          <p role="status" class="setting-said">
            {said}
          </p>
          <History alarm={answer.definition} round={changes} />
        </>
      )}
    </div>
  );
}

function Rationalisation({ view: { definition, changed } }: { view: AlarmSettingView }) {
  return (
    <section class="card" aria-labelledby="why-title">
      <h2 id="why-title">What it is for</h2>
      <dl class="alarm-facts" data-testid="rationalisation">
        {SETTING_FIELDS.filter((field) => definition[field] !== null || field === "reAlarmMin").map(
          (field) => (
            <div key={field}>
              <dt>{FIELD_WORDS[field]}</dt>
              <dd>
                {fieldText(field, definition[field], definition.unit)}
                {changed.includes(field) && <span class="changed-here"> set here</span>}
              </dd>
            </div>
          ),
        )}
        <div>
          <dt>Why so</dt>
          <dd>{definition.reason}</dd>
        </div>
        <div>
          <dt>Group</dt>
          <dd>{ALARM_GROUPS[definition.group]}</dd>
        </div>
      </dl>
    </section>
  );
}

/** Out of service: by the owner, with a reason, and in sight until it is put back. */
function Service({ alarm }: { alarm: AlarmDefinition }) {
  const [reason, setReason] = useState("");
  const form = useRef<HTMLFormElement>(null);
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ reason: [reason.trim().length >= 3, "why it is out of service"] });
  const { expected, allThere } = useMissing(form, missing);
  const own = (now.value?.suppressed ?? []).filter((each) => each.alarm === alarm.id);
  if (own.length > 0) return <Suppressed alarms={own} />;
  const take = () => {
    if (allThere()) void attempt(() => askAlarms.takeOutOfService(alarm.id, reason.trim()));
  };
  return (
    <details class="card" data-testid="out-of-service">
      <summary>Take it out of service</summary>
      <form
        ref={form}
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          take();
        }}
      >
        <p class="soft">
          It says nothing until it is put back, and stays in the list of what is kept silent. To keep it
          silent for a time, shelve it while it stands.
        </p>
        <TypedField
          name="reason"
          label="Why"
          most={300}
          wide="whole"
          value={reason}
          wrong={expected}
          change={setReason}
        />
        <RefusalText refusal={refusal} />
        <button type="submit" class="button" aria-disabled={busy}>
          Take it out of service
        </button>
      </form>
    </details>
  );
}

function History({ alarm, round }: { alarm: AlarmDefinition; round: number }) {
  const { answer, refusal, again } = useAsked(`${start.value} ${alarm.id} ${round}`, () =>
    askAlarms.history(alarm.id),
  );
  return (
    <section class="card" aria-labelledby="changes-title">
      <h2 id="changes-title">What was changed</h2>
      <RefusalText refusal={refusal} again={again} />
      {answer !== null && answer.history.length === 0 && (
        <p>Nothing yet: it is set as station.yaml has it.</p>
      )}
      {answer !== null && answer.history.length > 0 && (
        <ol class="setting-history" data-testid="setting-history">
          {answer.history.map(({ id, wall, by, why, changes, toFile }) => (
            <li key={id}>
              <p>
                <time dateTime={isoText(wall)}>{fullText(wall)}</time>
                {by !== null && `, ${by}`}
                {toFile && ", back to station.yaml"}: <q>{why}</q>
              </p>
              <ul>
                {changes.map(({ field, from, to }) => (
                  <li key={field}>
                    {FIELD_WORDS[field]}: {fieldText(field, from, alarm.unit)} →{" "}
                    {fieldText(field, to, alarm.unit)}
                  </li>
                ))}
              </ul>
            </li>
          ))}
        </ol>
      )}
    </section>
  );
}
