import { useState } from "preact/hooks";
import { useRoute } from "preact-iso/router";
import { planMark } from "../../../../station/model/plan.js";
import { useAsked } from "../../link/asked.js";
import { NoSuch } from "../../marks/refusal.js";
import { usePageTitle } from "../../shell/page-title.js";
import { PageTop } from "../../shell/page-top.js";
import { askTrials } from "../ask-trials.js";
import { CuttingSheet } from "./cutting-sheet.js";
import { Engraved } from "./engraved.js";
import { Labels } from "./labels.js";

const PARTS = { labels: "Labels", sheet: "Cutting sheet", engraved: "Codes to engrave" } as const;
type Part = keyof typeof PARTS;

/** What of a plan is printed, or engraved. Printing prints the part that is shown. */
export function LabelsPage() {
  const { params } = useRoute();
  const id = params.id ?? "";
  const { answer: plan, refusal, again } = useAsked(`labels ${id}`, () => askTrials.plan(id));
  const [part, setPart] = useState<Part>("labels");
  const missing = refusal?.final === true;
  usePageTitle("Labels and cutting sheet");
  return (
    <div class="page printing">
      <div class="unprinted">
        <PageTop
          back={missing ? "/plans" : `/plans/${id}`}
          word={missing ? "Trials" : plan === null ? "The plan" : `${planMark(plan)} ${plan.facts.title}`}
        >
          <h1>Labels and cutting sheet</h1>
        </PageTop>
        <NoSuch what="plan" refusal={refusal} again={again} />
        {plan !== null && (
          <fieldset class="part-choice">
            <legend class="unseen">What is shown</legend>
            {(Object.keys(PARTS) as Part[]).map((each) => (
              <button
                key={each}
                type="button"
                class="button"
                aria-pressed={part === each}
                onClick={() => setPart(each)}
              >
                {PARTS[each]}
              </button>
            ))}
          </fieldset>
        )}
      </div>
      {plan !== null && part === "labels" && <Labels plan={plan} />}
      {plan !== null && part === "sheet" && <CuttingSheet plan={plan} />}
      {plan !== null && part === "engraved" && <Engraved plan={plan} />}
    </div>
  );
}
