import { planMark } from "../../../../station/model/plan.js";
import type { PlanRow } from "../../../../station/model/specimen.js";
import { useAsked } from "../../link/asked.js";
import { now, start } from "../../link/live.js";
import { RefusalText } from "../../marks/refusal.js";
import { usePageTitle } from "../../shell/page-title.js";
import { dateText } from "../../words/time.js";
import { askTrials } from "../ask-trials.js";
import { PhaseMark } from "./phase.js";

function PlanLine({ plan, today }: { plan: PlanRow; today: number }) {
  const { facts, phase, cut, specimens } = plan;
  const search = facts.layout.method === "search";
  return (
    <li>
      <a class="trial-line plan-line" href={`/plans/${plan.id}`} data-testid={`plan-row-${plan.number}`}>
        <span class="trial-name">
          {planMark(plan)} {facts.title}
        </span>
        <PhaseMark phase={phase} />
        <span>
          {search ? `${cut} cut` : `${cut} of ${specimens} cut`}
          <span class="soft">
            , {search ? "search" : "ladder"},{" "}
            {facts.lots.length === 1 ? "1 lot" : `${facts.lots.length} lots`}
          </span>
        </span>
        <span class="soft">made {dateText(plan.madeWall, today)}</span>
      </a>
    </li>
  );
}

export function PlansPage() {
  usePageTitle("Trials");
  const trial = now.value?.trial ?? null;
  // Counted anew with every cut, and when another plan runs.
  const key = `${start.value} ${trial?.plan.id} ${trial?.cut}`;
  const { answer: plans, refusal, again } = useAsked(key, askTrials.plans);
  const today = now.value?.wall ?? Date.now();
  return (
    <div class="page">
      <header class="page-head">
        <h1>Trials</h1>
        <div class="links">
          <a class="button" href="/grade">
            Grade a specimen
          </a>
          <a class="button" href="/lots">
            Lots of sheets
          </a>
          <a class="button" href="/workshop">
            Workshop
          </a>
          <a class="button" href="/past-runs">
            Past runs
          </a>
          <a class="button button-main" href="/plans/new" data-testid="plan-add">
            Make a plan
          </a>
        </div>
      </header>
      <RefusalText refusal={refusal} again={again} />
      {plans === null && refusal === null && <p role="status">Fetching the plans.</p>}
      {plans?.length === 0 && (
        <p>
          No plan yet. Enter the lots that are to be compared, then make a plan: it lays out what to cut in
          which order, and gives every specimen a code of its own.
        </p>
      )}
      {plans !== null && (
        <ol class="trial-lines">
          {plans.map((plan) => (
            <PlanLine key={plan.id} plan={plan} today={today} />
          ))}
        </ol>
      )}
    </div>
  );
}
