import { useRef, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
import type { LotView } from "../../../../station/model/lot.js";
import { useAsked, useDoing } from "../../link/asked.js";
import { start } from "../../link/live.js";
import { newId } from "../../link/new-id.js";
import { RefusalText } from "../../marks/refusal.js";
import { FormRefusal, useExpected } from "../../settings/expected.js";
import { useGoOn } from "../../shell/go-on.js";
import { usePageTitle } from "../../shell/page-title.js";
import { PageTop } from "../../shell/page-top.js";
import { askTrials } from "../ask-trials.js";
import { neverCut } from "../lots/never.js";
import { TypedField } from "../typed/typed-field.js";
import { begunWith } from "./begun-with.js";
import { ChecksPart, GradingPart } from "./grading-part.js";
import { LotsPart } from "./lots-part.js";
import { typedIn } from "./part.js";
import { type PlanDraft, planFactsOf } from "./plan-draft.js";
import { PreviewCard, usePreview } from "./preview.js";
import { newSeed } from "./seed.js";
import { SettingPart } from "./setting-part.js";

/** What is wrong with a draft as far as the page can tell. A lot that is never to be cut asks for a press of its own. */
function faultsOf(draft: PlanDraft, lots: readonly LotView[]): ReadonlyMap<string, string> {
  const wrong = new Map(planFactsOf(draft).wrong);
  const never = lots.some((lot) => draft.lots.includes(lot.id) && neverCut(lot));
  if (never && !draft.none_the_less) wrong.set("none_the_less", "that you have read it, or another lot");
  return wrong;
}

function PlanForm({ lots }: { lots: readonly LotView[] }) {
  const { query } = useLocation();
  const goOn = useGoOn();
  const [id] = useState(newId);
  const [draft, setDraft] = useState(() => begunWith(query, newSeed()));
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const { busy, refusal, attempt } = useDoing();
  const form = useRef<HTMLFormElement>(null);
  const expected = useExpected(refusal, wrong, form, faultsOf(draft, lots));
  const preview = usePreview(draft);
  const props = { draft, wrong: expected, change: setDraft };
  const submit = async () => {
    const faults = faultsOf(draft, lots);
    setWrong(faults);
    if (faults.size > 0) return;
    const done = await attempt(() => askTrials.layPlan(id, planFactsOf(draft).facts));
    if (done) goOn(`/plans/${id}`, true);
  };
  return (
    <form
      ref={form}
      class="trial-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <section class="card">
        <div class="fields">
          <TypedField {...typedIn(props)("title")} label="Title" most={80} wide="whole">
            What people call it: the question it answers.
          </TypedField>
        </div>
      </section>
      <LotsPart {...props} lots={lots} />
      <SettingPart {...props} />
      <GradingPart {...props} />
      <ChecksPart {...props} />
      <PreviewCard preview={preview} search={draft.method === "search"} />
      <FormRefusal refusal={refusal} wrong={expected} />
      <div class="spread">
        <a class="button" href="/plans">
          Leave without keeping
        </a>
        <button type="submit" class="button button-main" data-testid="plan-keep" aria-disabled={busy}>
          Lay out the plan
        </button>
      </div>
    </form>
  );
}

export function MakePage() {
  usePageTitle("A new plan");
  const { answer: lots, refusal, again } = useAsked(start.value, askTrials.lots);
  return (
    <div class="page">
      <PageTop back="/plans" word="Trials">
        <h1>A new plan</h1>
      </PageTop>
      <RefusalText refusal={refusal} again={again} />
      {lots === null && refusal === null && <p role="status">Fetching the lots.</p>}
      {lots !== null && <PlanForm lots={lots} />}
    </div>
  );
}
