import { useState } from "preact/hooks";
import type { ConditionsAnswer } from "../../../station/model/review.js";
import type { BadRunRow, ReviewOverview } from "../../../station/model/review-views.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { usePageTitle } from "../shell/page-title.js";
import { addressOf } from "../trials/make/begun-with.js";
import { lotBeside } from "../words/lot.js";
import { asEntered } from "../words/number.js";
import { isoText, whenText } from "../words/time.js";
import { askReview } from "./ask-review.js";
import { ConditionCard } from "./condition-card.js";
import { Awaited } from "./review-frame.js";
import { Advice, PrintButton, Told } from "./told.js";
import { saidOfSeveral } from "./words.js";

const SHOWN_AT_FIRST = 12;

/** Do the conditions explain bad runs. */
export function ReviewPage() {
  usePageTitle("Review");
  const asked = useAsked(start.value, askReview.overview);
  const view = asked.answer;
  return (
    <div class="page review">
      <header class="page-head">
        <h1>Review</h1>
        <div class="links no-print">
          <a class="button" href="/review/materials">
            Which stock is better?
          </a>
          <a class="button" href="/review/drift">
            Does the machine drift?
          </a>
          <PrintButton />
        </div>
      </header>
      <Awaited {...asked} />
      {view !== null && <Overview view={view} />}
    </div>
  );
}

function Overview({ view }: { view: ReviewOverview }) {
  const { answer, badRuns } = view;
  const { often, sentences } = saidOfSeveral(answer.conditions);
  return (
    <>
      <section class="card" aria-labelledby="answer-title">
        <h2 id="answer-title">Do the conditions explain bad runs?</h2>
        <p class="review-sentence" data-testid="review-sentence">
          {answer.sentence}
        </p>
        {view.runs === 0 && (
          <p>
            Cut a <a href="/plans">plan's</a> specimens and grade them, or take{" "}
            <a href="/past-runs">past runs</a> in from a spreadsheet.
          </p>
        )}
      </section>
      {answer.conditions.length > 0 && (
        <section aria-labelledby="conditions-title">
          <h2 id="conditions-title">Condition by condition</h2>
          <div class="pair review-conditions">
            {answer.conditions.map((condition) => (
              <ConditionCard key={condition.condition} answer={condition} often={often} />
            ))}
          </div>
        </section>
      )}
      <Together answer={answer} />
      <Told title="What next" sentences={answer.next.map(({ sentence }) => sentence)} />
      <BadRuns runs={badRuns} />
      <Told
        title="Left out, and to be careful of"
        sentences={[...view.warnings, ...answer.warnings, ...sentences]}
      />
      <Advice />
    </>
  );
}

function Together({ answer: { together } }: { answer: ConditionsAnswer }) {
  if (together.length === 0) return null;
  return (
    <section class="card" aria-labelledby="together-title" data-testid="together">
      <h2 id="together-title">What moved together</h2>
      {together.map(({ conditions, sentence, experiment, plan }) => (
        <div class="review-together" key={conditions.join(" ")}>
          <p>{sentence}</p>
          <p>
            <strong>To tell them apart:</strong> {experiment}
          </p>
          <p class="no-print">
            <a class="button" href={addressOf(plan)}>
              Make a plan of it
            </a>
          </p>
        </div>
      ))}
    </section>
  );
}

function BadRuns({ runs }: { runs: readonly BadRunRow[] }) {
  const [all, setAll] = useState(false);
  const today = now.value?.wall ?? Date.now();
  const shown = all ? runs : runs.slice(0, SHOWN_AT_FIRST);
  if (runs.length === 0) return null;
  return (
    <section aria-labelledby="bad-title">
      <h2 id="bad-title">Not cut through</h2>
      <ol class="trial-lines" data-testid="bad-runs">
        {shown.map((run) => {
          const lot = lotBeside(run.material, run.lot);
          return (
            <li key={run.id}>
              <a class="trial-line review-bad" href={`/review/runs/${encodeURIComponent(run.id)}`}>
                <span class="trial-name">{run.name}</span>
                <span>
                  {run.material ?? <span class="soft">material not said</span>}
                  {lot !== null && <span class="soft"> lot {lot}</span>}
                </span>
                <span>{run.speed_mm_s !== null && `${asEntered(run.speed_mm_s)}\u00a0mm/s`}</span>
                <span class="soft">
                  {run.wall === null ? (
                    "when is not known"
                  ) : (
                    <time dateTime={isoText(run.wall)}>{whenText(run.wall, today)}</time>
                  )}
                </span>
              </a>
            </li>
          );
        })}
      </ol>
      {shown.length < runs.length && (
        <button type="button" class="button review-all no-print" onClick={() => setAll(true)}>
          Show all {runs.length}
        </button>
      )}
    </section>
  );
}
