import { useState } from "preact/hooks";
import { MAINTENANCE, MAINTENANCE_KINDS, type MaintenanceKind } from "../../../station/model/maintenance.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { numberText } from "../words/number.js";
import { fullText, isoText } from "../words/time.js";

/** What was done to the machine: a button for each kind, pressed twice, and how long the beam was on since. */
export function MaintenanceLog() {
  const { answer, refusal, again } = useAsked(`${start.value} maintenance`, ask.maintenance);
  const [asking, setAsking] = useState<MaintenanceKind | null>(null);
  const [note, setNote] = useState("");
  const doing = useDoing();
  const mark = async (kind: MaintenanceKind) => {
    if (!(await doing.attempt(() => ask.maintained(kind, note.trim())))) return;
    setAsking(null);
    setNote("");
    again();
  };
  const choose = (kind: MaintenanceKind | null) => {
    doing.forget();
    setNote("");
    setAsking(kind);
  };
  return (
    <section class="card" aria-labelledby="maintenance-title">
      <h2 id="maintenance-title">Maintenance</h2>
      <p class="soft">Press what you have just done. Every run from then on tells the hours of beam since.</p>
      <RefusalText refusal={refusal ?? doing.refusal} />
      <ul class="maintenance-kinds">
        {MAINTENANCE_KINDS.map((kind) => {
          const last = answer?.last.find((each) => each.kind === kind);
          return (
            <li key={kind}>
              {asking === kind ? (
                <div class="maintenance-asked">
                  <div class="field">
                    <label for={`note-${kind}`}>{MAINTENANCE[kind]}: note, if any</label>
                    <input
                      id={`note-${kind}`}
                      type="text"
                      value={note}
                      maxLength={200}
                      onInput={(event) => setNote(event.currentTarget.value)}
                    />
                  </div>
                  <div class="spread">
                    <button type="button" class="button" onClick={() => choose(null)}>
                      No
                    </button>
                    <button
                      type="button"
                      class="button button-main"
                      data-testid={`maintained-${kind}`}
                      aria-disabled={doing.busy}
                      onClick={() => void mark(kind)}
                    >
                      Yes, just now
                    </button>
                  </div>
                </div>
              ) : (
                <button type="button" class="button maintenance-button" onClick={() => choose(kind)}>
                  {MAINTENANCE[kind]}
                </button>
              )}
              <p class="soft">
                {last === undefined ? (
                  "Never noted."
                ) : (
                  <>
                    <time dateTime={isoText(last.wall)}>{fullText(last.wall)}</time>,{" "}
                    {numberText(last.laserHours, 1)} h of beam since
                    {last.note === "" ? "" : `: ${last.note}`}
                  </>
                )}
              </p>
            </li>
          );
        })}
      </ul>
      {answer !== null && answer.log.length > 0 && (
        <details>
          <summary>The log</summary>
          <ul class="sentences">
            {answer.log.map(({ id, kind, wall, note: said }) => (
              <li key={id}>
                <time dateTime={isoText(wall)}>{fullText(wall)}</time>:{" "}
                {kind in MAINTENANCE ? MAINTENANCE[kind as MaintenanceKind] : kind}
                {said === "" ? "" : `, ${said}`}
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
