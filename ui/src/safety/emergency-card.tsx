import { useState } from "preact/hooks";
import { EMERGENCY_FIELDS, type EmergencyFacts } from "../../../station/model/emergency.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { screenName } from "../shell/screen-name.js";
import { TypedField } from "../trials/typed/typed-field.js";

const NOTHING_WRONG: ReadonlyMap<string, string> = new Map();

/** Whom to call. The owner fills it in: the station knows no number of any country. */
export function EmergencyCard() {
  const { answer, refusal, again } = useAsked(`${start.value} emergency`, ask.emergency);
  const [changing, setChanging] = useState(false);
  const given = answer === null ? [] : EMERGENCY_FIELDS.filter(({ key }) => answer[key] !== undefined);
  return (
    <section class="card emergency" aria-labelledby="emergency-title">
      <h2 id="emergency-title">In an emergency</h2>
      <RefusalText refusal={refusal} again={again} />
      {answer !== null && !changing && (
        <>
          {given.length === 0 ? (
            <p>
              <strong>No numbers are filled in yet.</strong> Fill them in now, and hang them up on paper
              beside the machine as well: a fire may take the station first.
            </p>
          ) : (
            <dl class="emergency-numbers" data-testid="emergency-numbers">
              {given.map(({ key, label }) => (
                <div key={key}>
                  <dt>{label}</dt>
                  <dd>{answer[key]}</dd>
                </div>
              ))}
            </dl>
          )}
          <p class="no-print">
            <button
              type="button"
              class="button"
              data-testid="emergency-change"
              onClick={() => setChanging(true)}
            >
              {given.length === 0 ? "Fill in" : "Change"}
            </button>
          </p>
        </>
      )}
      {answer !== null && changing && (
        <EmergencyForm
          facts={answer}
          close={() => {
            setChanging(false);
            again();
          }}
        />
      )}
    </section>
  );
}

function EmergencyForm({ facts, close }: { facts: EmergencyFacts; close: () => void }) {
  const [draft, setDraft] = useState<Readonly<Record<string, string | undefined>>>({ ...facts });
  const { busy, refusal, attempt } = useDoing();
  const keep = async () => {
    const typed = EMERGENCY_FIELDS.map(({ key }) => [key, draft[key]?.trim() ?? ""] as const);
    const next: EmergencyFacts = Object.fromEntries(typed.filter(([, text]) => text !== ""));
    if (await attempt(() => ask.keepEmergency(next, screenName()))) close();
  };
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <div class="fields">
        {EMERGENCY_FIELDS.map(({ key, label, most }) => (
          <TypedField
            key={key}
            name={key}
            label={label}
            most={most}
            wide={most > 40 ? "whole" : "half"}
            value={draft[key] ?? ""}
            wrong={NOTHING_WRONG}
            change={(value) => setDraft({ ...draft, [key]: value })}
          />
        ))}
      </div>
      <RefusalText refusal={refusal} />
      <button type="submit" class="button button-main" data-testid="emergency-keep" aria-disabled={busy}>
        Keep
      </button>{" "}
      <button type="button" class="button" onClick={close}>
        Leave as it was
      </button>
    </form>
  );
}
