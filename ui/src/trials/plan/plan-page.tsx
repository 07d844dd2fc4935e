import { useRoute } from "preact-iso/router";
import { planMark } from "../../../../station/model/plan.js";
import type { PlanView, SpecimenState, TrialNow } from "../../../../station/model/specimen.js";
import { useFollowed } from "../../link/asked.js";
import { now, start } from "../../link/live.js";
import { NoSuch } from "../../marks/refusal.js";
import { usePageTitle } from "../../shell/page-title.js";
import { PageTop } from "../../shell/page-top.js";
import { askTrials } from "../ask-trials.js";
import { PhaseMark } from "../plans/phase.js";
import { Found } from "../wall/found.js";
import { Need } from "../wall/need.js";
import { BlockCard } from "./block-card.js";
import { PhaseButtons } from "./phase-buttons.js";
import { PlanSummary } from "./plan-summary.js";
import { STATE_WORDS } from "./state.js";

/** Grades come in from phones without the wall's knowing of it. */
const LOOK_AGAIN_MS = 60_000;

function countWords({ counts }: PlanView): string {
  return (Object.keys(STATE_WORDS) as SpecimenState[])
    .filter((state) => counts[state] > 0)
    .map((state) => `${counts[state]} ${STATE_WORDS[state].toLowerCase()}`)
    .join(", ");
}

function PlanRecord({
  plan,
  trial,
  changed,
}: {
  plan: PlanView;
  trial: TrialNow | null;
  changed: () => void;
}) {
  const today = now.value?.wall ?? Date.now();
  return (
    <>
      <section class="card plan-head" aria-label="How the plan stands">
        <p class="plan-counts">
          <PhaseMark phase={plan.phase} /> <span>{countWords(plan) || "Nothing laid out yet"}</span>
        </p>
        <PhaseButtons plan={plan} changed={changed} />
        <div class="links">
          <a class="button" href={`/plans/${plan.id}/labels`}>
            Labels and cutting sheet
          </a>
          <a class="button" href={`/plans/${plan.id}/decision`}>
            Decision
          </a>
          <a class="button" href="/grade">
            Grade a specimen
          </a>
          <a class="button" href={`/api/plans/${plan.id}/specimens.csv`} download>
            Table for a spreadsheet
          </a>
        </div>
      </section>
      {trial !== null && (
        <section class="card trial trial-on-page" aria-label="Next">
          <Need trial={trial} run={now.value?.run ?? null} />
        </section>
      )}
      {trial !== null && <Found sentences={trial.found} />}
      <PlanSummary plan={plan} />
      {plan.blocks.map((block) => (
        <BlockCard key={block.block} plan={plan} block={block} today={today} changed={changed} />
      ))}
    </>
  );
}

export function PlanPage() {
  const id = useRoute().params.id ?? "";
  const seen = now.value;
  const trial = seen?.trial?.plan.id === id ? seen.trial : null;
  const stir = JSON.stringify([trial, trial && Math.floor((seen?.wall ?? 0) / LOOK_AGAIN_MS)]);
  const {
    answer: plan,
    refusal,
    again,
  } = useFollowed(`${start.value} ${id}`, stir, () => askTrials.plan(id));
  const title = plan === null ? "Plan" : `${planMark(plan)} ${plan.facts.title}`;
  usePageTitle(title);
  return (
    <div class="page">
      <PageTop back="/plans" word="Trials">
        <h1>{title}</h1>
      </PageTop>
      <NoSuch what="plan" refusal={refusal} again={again} />
      {plan === null && refusal === null && <p role="status">Fetching the plan.</p>}
      {plan !== null && <PlanRecord plan={plan} trial={trial} changed={again} />}
    </div>
  );
}
