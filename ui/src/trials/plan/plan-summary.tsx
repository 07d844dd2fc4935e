import { PROPERTIES, propertyOf } from "../../../../station/model/grade.js";
import type { PlanFacts } from "../../../../station/model/plan.js";
import type { PlanView } from "../../../../station/model/specimen.js";
import { asEntered, shareText } from "../../words/number.js";
import { nameOf } from "../lots/lot-words.js";

function layoutWords({ layout }: PlanFacts): string {
  if (layout.method === "ladder") {
    const unit = layout.vary === "speed" ? "mm/s" : "%";
    const blocks = layout.replicates === 1 ? "1 block" : `${layout.replicates} blocks`;
    return `Ladder of ${layout.rungs.map(asEntered).join(", ")}\u00a0${unit}, in ${blocks}`;
  }
  const { slowest_mm_s, fastest_mm_s, step_mm_s, within_pct, most_cuts, through_up_to } = layout;
  const through = PROPERTIES.through.grades[through_up_to].word.toLowerCase();
  return [
    `Search from ${asEntered(slowest_mm_s)} to ${asEntered(fastest_mm_s)}\u00a0mm/s in steps of ${asEntered(step_mm_s)}`,
    `stops within ±\u00a0${asEntered(within_pct)}\u00a0% or after ${most_cuts} cuts of a lot`,
    `through up to “${through}”`,
  ].join("; ");
}

function sameWords(facts: PlanFacts): string {
  const { speed_mm_s, power_pct, passes, air_assist } = facts;
  return [
    ...(speed_mm_s === undefined ? [] : [`${asEntered(speed_mm_s)}\u00a0mm/s`]),
    ...(power_pct === undefined ? [] : [`${asEntered(power_pct)}\u00a0%`]),
    passes === 1 ? "1 pass" : `${passes} passes`,
    ...(air_assist === undefined ? [] : [`air ${air_assist}`]),
  ].join(", ");
}

/** What was planned; it does not change any more. */
export function PlanSummary({ plan }: { plan: PlanView }) {
  const { facts, lots } = plan;
  const spacer = (i: number) => facts.spacers_mm[i] ?? null;
  return (
    <details class="card planned">
      <summary>
        <h2>As planned</h2>
      </summary>
      <dl class="facts">
        <div>
          <dt>Lots</dt>
          <dd>
            <ul>
              {facts.lots.map((id, i) => {
                const lot = lots.find((each) => each.id === id);
                const height = spacer(i);
                return (
                  <li key={id}>
                    <a href={`/lots/${id}`}>{lot === undefined ? "a lot" : nameOf(lot)}</a>
                    <span class="soft">
                      {height === null ? ", spacer not said" : `, spacer ${asEntered(height)}\u00a0mm`}
                    </span>
                  </li>
                );
              })}
            </ul>
          </dd>
        </div>
        <div>
          <dt>Cuts</dt>
          <dd>{layoutWords(facts)}</dd>
        </div>
        <div>
          <dt>The same for all</dt>
          <dd>{sameWords(facts)}</dd>
        </div>
        <div>
          <dt>Graded</dt>
          <dd>{facts.properties.map((id) => propertyOf(id).name).join(", ")}</dd>
        </div>
        <div>
          <dt>Grading</dt>
          <dd>
            {facts.blind ? "blind" : "with lot and setting in sight"}, {shareText(facts.second_share)} a
            second time
          </dd>
        </div>
        <div>
          <dt>Seed</dt>
          <dd>{facts.seed}</dd>
        </div>
        {facts.note !== undefined && (
          <div>
            <dt>Note</dt>
            <dd>{facts.note}</dd>
          </div>
        )}
      </dl>
    </details>
  );
}
