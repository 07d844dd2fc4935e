import { useRef, useState } from "preact/hooks";
import type { FocusView, WorkshopFacts } from "../../../station/model/workshop.js";
import { may } from "../access/me.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { FormRefusal, useExpected } from "../settings/expected.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { screenName } from "../shell/screen-name.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { numberText } from "../words/number.js";
import { FACT_GROUPS, type FactDraft, factDraft, factsOf } from "./fields.js";
import { MaintenanceLog } from "./maintenance-log.js";

/** What the owner says once of machine and shop, and what was done to the machine. */
export function WorkshopPage() {
  usePageTitle("Workshop");
  const { answer, refusal, again } = useAsked(`${start.value} workshop`, ask.workshop);
  return (
    <div class="page">
      <PageTop back="/plans" word="Trials">
        <h1>Workshop</h1>
      </PageTop>
      {may("owner") && (
        <p>
          <a class="way" href="/setup">
            Set up sensors
          </a>
        </p>
      )}
      <RefusalText refusal={refusal} />
      {answer !== null && <Facts facts={answer.facts} focus={answer.focus} kept={again} />}
      <MaintenanceLog />
    </div>
  );
}

function Facts({ facts, focus, kept }: { facts: WorkshopFacts; focus: FocusView | null; kept: () => void }) {
  const form = useRef<HTMLFormElement>(null);
  const [draft, setDraft] = useState<FactDraft>(() => factDraft(facts));
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const [saved, setSaved] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const expected = useExpected(refusal, wrong, form, factsOf(draft).wrong);
  const keep = async () => {
    const read = factsOf(draft);
    setWrong(read.wrong);
    if (read.wrong.size > 0) return;
    if (!(await attempt(() => ask.keepWorkshop(read.facts, screenName())))) return;
    setSaved(true);
    kept();
  };
  return (
    <form
      class="card"
      ref={form}
      noValidate
      aria-labelledby="facts-title"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <h2 id="facts-title">Machine and shop</h2>
      <p class="soft">Leave empty what you do not know: nothing is guessed.</p>
      {FACT_GROUPS.map(({ title, fields }) => (
        <fieldset class="fact-group" key={title}>
          <legend>{title}</legend>
          <div class="fields">
            {fields.map(({ key, label, unit, limits, more }) => (
              <TypedField
                key={key}
                name={key}
                label={label}
                unit={unit}
                kind={limits === null ? "text" : "number"}
                value={draft[key] ?? ""}
                wrong={expected}
                change={(value) => {
                  setSaved(false);
                  setDraft({ ...draft, [key]: value });
                }}
              >
                {more}
              </TypedField>
            ))}
          </div>
        </fieldset>
      ))}
      <p data-testid="depth-of-focus">
        {focus === null
          ? "With the lens and the beam the station tells the depth of focus."
          : `As kept: depth of focus ${numberText(focus.depthMm, 2)} mm from end to end, spot ${numberText(focus.spotMm, 2)} mm.`}
      </p>
      <FormRefusal refusal={refusal} wrong={expected} />
      <button type="submit" class="button button-main" data-testid="keep-workshop" aria-disabled={busy}>
        Keep
      </button>
      {saved && <p role="status">Kept.</p>}
    </form>
  );
}
