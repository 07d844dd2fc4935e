import { useRoute } from "preact-iso/router";
import type { RunConditionAnswer } from "../../../station/model/review.js";
import type { BadRunView } from "../../../station/model/review-views.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { usePageTitle } from "../shell/page-title.js";
import { lotBeside } from "../words/lot.js";
import { asEntered } from "../words/number.js";
import { fullText, isoText } from "../words/time.js";
import { askReview } from "./ask-review.js";
import { ConditionSection } from "./condition-section.js";
import { Awaited, ReviewFrame } from "./review-frame.js";
import { Strip } from "./strip.js";
import { Advice, Told } from "./told.js";
import { conditionText, isNumber, pText, saidOfSeveral } from "./words.js";

/** Why one run was not cut through, as far as its conditions tell. */
export function BadRunPage() {
  const id = useRoute().params.id ?? "";
  const asked = useAsked(`${start.value} ${id}`, () => askReview.badRun(id));
  const view = asked.answer;
  const title =
    view === null ? "A run that was not cut through" : `${view.about.name}: why was it not cut through?`;
  usePageTitle(view === null ? "Review" : view.about.name);
  return (
    <ReviewFrame title={title} printable={view !== null}>
      <Awaited {...asked} />
      {view !== null && <Answer view={view} />}
    </ReviewFrame>
  );
}

function Answer({ view }: { view: BadRunView }) {
  const { answer, about } = view;
  const { often, sentences } = saidOfSeveral(answer.conditions);
  const lot = lotBeside(about.material, about.lot);
  return (
    <>
      <section class="card" aria-label="Answer">
        <p class="review-sentence" data-testid="review-sentence">
          {answer.sentence}
        </p>
        <p>
          {[about.material, lot === null ? null : `lot ${lot}`].filter(Boolean).join(", ")}
          {about.speed_mm_s !== null && ` at ${asEntered(about.speed_mm_s)}\u00a0mm/s`}
          {about.power_pct !== null && `, ${asEntered(about.power_pct)}\u00a0%`}
          {about.passes !== null && `, ${about.passes} ${about.passes === 1 ? "pass" : "passes"}`}
          {about.wall !== null && (
            <>
              , <time dateTime={isoText(about.wall)}>{fullText(about.wall)}</time>
            </>
          )}
          .
        </p>
        {!about.past && (
          <p class="no-print">
            <a class="way" href={`/runs/${encodeURIComponent(about.id)}`}>
              All that is known of this run
            </a>
          </p>
        )}
      </section>
      {answer.conditions.map((condition) => (
        <RunCondition key={condition.condition} answer={condition} view={view} often={often} />
      ))}
      <Comparable view={view} />
      <Told title="Left out, and to be careful of" sentences={[...sentences, ...view.warnings]} />
      <Advice />
    </>
  );
}

interface RunConditionProps {
  readonly answer: RunConditionAnswer;
  readonly view: BadRunView;
  /** What is said once for all of them. */
  readonly often: ReadonlySet<string>;
}

function RunCondition({ answer, view, often }: RunConditionProps) {
  const { condition, unit, good } = answer;
  const known = good.filter(isNumber).sort((a, b) => a - b);
  const text = (value: number | undefined) => conditionText(condition, value ?? 0, unit);
  return (
    <ConditionSection
      {...{ answer, often }}
      level="h2"
      rows={[
        { what: "This run", value: isNumber(answer.value) ? text(answer.value) : null },
        {
          what: "Comparable good runs",
          value:
            known.length === 0
              ? "none in which it is known"
              : `${known.length}, ${fromTo(text(known[0]), text(known.at(-1)))}`,
        },
        { what: "p of its place among them", value: isNumber(answer.placeP) ? pText(answer.placeP) : null },
        { what: "p over all runs", value: isNumber(answer.p) ? pText(answer.p) : null },
      ]}
    >
      <Strip answer={answer} range={condition === "coolant_C" ? coolantRange(view) : null} />
    </ConditionSection>
  );
}

/** One where both are shown alike. */
function fromTo(low: string, high: string): string {
  return low === high ? low : `from ${low} to ${high}`;
}

/** That of its own stamp; of a run without one, what is set today. */
function coolantRange({ coolantRange: stamped }: BadRunView) {
  if (stamped !== null) return { ...stamped, words: "the range that was set" };
  const live = now.value?.coolant;
  return live === undefined ? null : { low: live.low, high: live.high, words: "the range that is set now" };
}

function Comparable({ view: { answer } }: { view: BadRunView }) {
  return (
    <section class="card" aria-labelledby="comparable-title">
      <h2 id="comparable-title">What it is held against</h2>
      <p>{answer.why}</p>
      {answer.comparable.length > 0 && (
        <details>
          <summary>The {answer.comparable.length} runs</summary>
          <ul class="sentences">
            {answer.comparable.map(({ id, name, speed_mm_s }) => (
              <li key={id}>
                {name}, {asEntered(speed_mm_s)}
                {"\u00a0"}mm/s
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
