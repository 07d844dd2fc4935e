import { useRef, useState } from "preact/hooks";
import type { DecisionAnswer } from "../../../station/model/decision.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { newId } from "../link/new-id.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { screenName } from "../shell/screen-name.js";
import { fullText, isoText } from "../words/time.js";

interface Props {
  readonly plan: string;
  readonly answer: DecisionAnswer;
  readonly kept: () => void;
}

/** What the owner decides, in their own words; earlier decisions stay beneath. */
export function OwnDecision({ plan, answer, kept }: Props) {
  const [lot, setLot] = useState<string | null | undefined>(undefined);
  const [reason, setReason] = useState("");
  // The same until it is kept, so that a press that is sent again counts once.
  const entry = useRef(newId());
  const { busy, refusal, attempt } = useDoing();
  const form = useRef<HTMLFormElement>(null);
  const missing = absent({
    lot: [lot !== undefined, "one of them, or none"],
    reason: [reason.trim() !== "", "why, in your own words"],
  });
  const { expected, allThere } = useMissing(form, missing);
  const keep = async () => {
    if (!allThere() || lot === undefined) return;
    const body = { lot, reason: reason.trim(), by: screenName(), entry: entry.current };
    if (await attempt(() => ask.decide(plan, body))) {
      entry.current = newId();
      setReason("");
      setLot(undefined);
      kept();
    }
  };
  const choices = [...answer.view.lots, { id: null, name: "None of them" }];
  return (
    <section class="card" aria-labelledby="own-title" data-testid="own-decision">
      <h2 id="own-title">Decided</h2>
      {answer.decisions.length === 0 && <p>Nothing has been decided yet.</p>}
      <ol class="decided">
        {answer.decisions.map(({ lotName, reason: why, wall, by }, i) => (
          <li key={wall} class={i === 0 ? "decided-last" : "soft"}>
            <strong>{lotName ?? "None of them"}</strong>: {why}{" "}
            <span class="soft">
              <time dateTime={isoText(wall)}>{fullText(wall)}</time>
              {by === null ? "" : `, ${by}`}
              {i === 0 ? "" : ", before"}
            </span>
          </li>
        ))}
      </ol>
      <form
        class="no-print"
        ref={form}
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void keep();
        }}
      >
        <fieldset class="field" aria-describedby={expected.has("lot") ? "decision-lot-expected" : undefined}>
          <legend>{answer.decisions.length === 0 ? "Which one you take" : "Decide anew"}</legend>
          <div class="choices">
            {choices.map(({ id, name }) => (
              <label class="choice" key={name}>
                <input type="radio" name="lot" checked={lot === id} onChange={() => setLot(id)} />
                <span>{name}</span>
              </label>
            ))}
          </div>
          {expected.has("lot") && (
            <p class="field-expected" id="decision-lot-expected">
              Expected: {expected.get("lot")}
            </p>
          )}
        </fieldset>
        <div class="field">
          <label for="decision-reason">Reason</label>
          <textarea
            id="decision-reason"
            rows={2}
            maxLength={1000}
            value={reason}
            aria-invalid={expected.has("reason")}
            aria-describedby={expected.has("reason") ? "decision-reason-expected" : undefined}
            onInput={(event) => setReason(event.currentTarget.value)}
          />
          {expected.has("reason") && (
            <p class="field-expected" id="decision-reason-expected">
              Expected: {expected.get("reason")}
            </p>
          )}
        </div>
        <RefusalText refusal={refusal} />
        <button type="submit" class="button button-main" data-testid="decision-keep" aria-disabled={busy}>
          Keep this decision
        </button>
      </form>
    </section>
  );
}
