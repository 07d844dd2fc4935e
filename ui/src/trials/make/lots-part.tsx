import type { LotView } from "../../../../station/model/lot.js";
import { useAsked } from "../../link/asked.js";
import { asEntered } from "../../words/number.js";
import { askTrials } from "../ask-trials.js";
import { thicknessWords } from "../lots/lot-words.js";
import { LotCautions, NeverMark, neverCut } from "../lots/never.js";
import { TypedField } from "../typed/typed-field.js";
import { type PartProps, turned } from "./part.js";

const MOST_LOTS = 4;

function LotChoice({ lot, on, full, turn }: { lot: LotView; on: boolean; full: boolean; turn: () => void }) {
  const measured = thicknessWords(lot);
  return (
    <label class="choice choice-line">
      <input
        type="checkbox"
        data-testid={`choose-lot-${lot.number}`}
        checked={on}
        disabled={full && !on}
        onChange={turn}
      />
      <span>
        <strong>{lot.name}</strong>{" "}
        <span class="soft">
          {asEntered(lot.facts.nominal_mm)}&nbsp;mm{measured === null ? "" : `, measured ${measured}`}
        </span>
      </span>
      <NeverMark lot={lot} />
    </label>
  );
}

/** The lots that are compared, each with its spacer. */
export function LotsPart({ lots, ...props }: PartProps & { lots: readonly LotView[] }) {
  const { draft, wrong, change } = props;
  const chosen = draft.lots.flatMap((id) => lots.find((lot) => lot.id === id) ?? []);
  const ids = draft.lots.join(",");
  const { answer: focus } = useAsked(ids, async () =>
    draft.lots.length === 0 ? [] : askTrials.focus(draft.lots),
  );
  const setSpacer = (id: string, value: string) =>
    change({ ...draft, spacers: { ...draft.spacers, [id]: value } });
  return (
    <fieldset class="card part" aria-invalid={wrong.has("lots")} tabIndex={-1}>
      <legend>Lots to compare</legend>
      {lots.length === 0 && (
        <p>
          There is no lot yet. <a href="/lots/new">Add a lot</a> first.
        </p>
      )}
      <div class="choice-lines">
        {lots.map((lot) => {
          const on = draft.lots.includes(lot.id);
          return (
            <LotChoice
              key={lot.id}
              lot={lot}
              on={on}
              full={draft.lots.length >= MOST_LOTS}
              turn={() => change({ ...draft, lots: turned(draft.lots, lot.id, !on), none_the_less: false })}
            />
          );
        })}
      </div>
      {wrong.has("lots") && <p class="field-expected">Expected: {wrong.get("lots")}</p>}
      {chosen.some(neverCut) && (
        <div class="never-press">
          {chosen.filter(neverCut).map((lot) => (
            <div key={lot.id}>
              <p>
                <strong>{lot.name}</strong>
              </p>
              <LotCautions lot={lot} />
            </div>
          ))}
          <label class="switch">
            <input
              type="checkbox"
              name="none_the_less"
              data-testid="none-the-less"
              checked={draft.none_the_less}
              aria-invalid={wrong.has("none_the_less")}
              onChange={(event) => change({ ...draft, none_the_less: event.currentTarget.checked })}
            />
            <span>I have read this and plan to cut it none the less</span>
          </label>
          {wrong.has("none_the_less") && <p class="field-expected">Expected: {wrong.get("none_the_less")}</p>}
        </div>
      )}
      {chosen.length > 0 && (
        <div class="fields">
          {chosen.map((lot) => {
            const its = focus?.find((each) => each.lot === lot.id);
            const reckoned = its?.spacerMm == null ? null : String(Number(its.spacerMm.toFixed(2)));
            return (
              <TypedField
                key={lot.id}
                name="spacers_mm"
                label={`Spacer, ${lot.name}`}
                unit="mm"
                kind="number"
                wide="half"
                value={draft.spacers[lot.id] ?? ""}
                wrong={wrong}
                change={(value) => setSpacer(lot.id, value)}
              >
                {its?.sentence ?? "Its height, where it is known."}
                {reckoned !== null && draft.spacers[lot.id] !== reckoned && (
                  <button
                    type="button"
                    class="button button-small"
                    onClick={() => setSpacer(lot.id, reckoned)}
                  >
                    Take {reckoned}&nbsp;mm
                  </button>
                )}
              </TypedField>
            );
          })}
        </div>
      )}
    </fieldset>
  );
}
