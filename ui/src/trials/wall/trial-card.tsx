import type { NowSnapshot } from "../../../../station/model/now.js";
import { planMark } from "../../../../station/model/plan.js";
import type { TrialNow } from "../../../../station/model/specimen.js";
import { Need } from "./need.js";

/** The plan that is running, on the wall screen. */
export function TrialCard({ now, trial }: { now: NowSnapshot; trial: TrialNow }) {
  return (
    <section class="trial" aria-labelledby="trial-title" data-testid="trial">
      <p class="trial-title" id="trial-title">
        <a href={`/plans/${trial.plan.id}`}>
          {planMark(trial.plan)} {trial.plan.title}
        </a>
      </p>
      <Need trial={trial} run={now.run} />
    </section>
  );
}
