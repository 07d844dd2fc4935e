import { useLocation } from "preact-iso/router";
import type { DriftAnswer } from "../../../station/model/review.js";
import { figure, limits } from "../decision/figure.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { dateText } from "../words/time.js";
import { askReview } from "./ask-review.js";
import { DriftChart } from "./drift-chart.js";
import { Numbers } from "./figures-list.js";
import { Awaited, ReviewFrame } from "./review-frame.js";
import { StockChoice } from "./stock-choice.js";
import { Advice, Told } from "./told.js";
import { isNumber, pText } from "./words.js";

/** A reference that is cut now and then tells whether the machine drifts. */
export function DriftPage() {
  usePageTitle("Does the machine drift");
  const { query, route } = useLocation();
  const reference = query.reference ?? "";
  const asked = useAsked(`${start.value} stocks`, askReview.overview);
  const stocks = asked.answer?.stocks ?? [];
  return (
    <ReviewFrame title="Does the machine drift?" printable={reference !== ""}>
      <Awaited {...asked} />
      {asked.answer !== null && stocks.length === 0 && (
        <p class="card">
          No stock was cut whose outcome is known. Put some sheets of one stock aside, and cut a few pieces of
          it every week or so: they tell whether the machine is still what it was.
        </p>
      )}
      {stocks.length > 0 && (
        <section class="card no-print" aria-label="Choose the reference">
          <div class="fields">
            <StockChoice
              label="Reference: a stock that is cut now and then"
              stocks={stocks}
              value={reference}
              change={(name) => route(`/review/drift?${new URLSearchParams({ reference: name })}`, true)}
            />
          </div>
        </section>
      )}
      {reference !== "" && <OfReference reference={reference} />}
      <Advice />
    </ReviewFrame>
  );
}

function OfReference({ reference }: { reference: string }) {
  const {
    answer: view,
    refusal,
    again,
  } = useAsked(`${start.value} ${reference}`, () => askReview.drift(reference));
  const today = now.value?.wall ?? Date.now();
  if (view === null)
    return refusal === null ? (
      <p role="status">Looking at the reference.</p>
    ) : (
      <RefusalText refusal={refusal} again={again} />
    );
  const { answer } = view;
  const [opening, rest] = opened(answer.sentence);
  return (
    <>
      <section class="card" aria-label="Answer">
        <h2>{answer.reference}</h2>
        <p class="review-sentence" data-testid="review-sentence">
          {opening}
        </p>
        {rest !== "" && <p>{rest}</p>}
        <Numbers method={answer.method} rows={numbersOf(answer, today)} />
      </section>
      {answer.points.length > 0 && (
        <section class="card" aria-labelledby="chart-title">
          <h2 id="chart-title">The speed that still cuts</h2>
          <DriftChart answer={answer} today={today} />
        </section>
      )}
      <Told title="Left out, and to be careful of" sentences={[...answer.warnings, ...view.warnings]} />
    </>
  );
}

/** The first sentence, and those that follow it. */
function opened(sentences: string): [string, string] {
  const end = sentences.search(/\. [A-Z]/);
  return end < 0 ? [sentences, ""] : [sentences.slice(0, end + 1), sentences.slice(end + 2)];
}

function numbersOf(
  { verdict, estimate, lower, upper, p, n, points, baseline, since }: DriftAnswer,
  today: number,
) {
  const drifts = verdict === "drifting";
  const began = since === null ? undefined : points[since]?.wall;
  return [
    { what: "Times that show a speed", value: String(points.length) },
    { what: "Cuts it is made of", value: String(n) },
    { what: "The first make the level", value: baseline > 0 ? String(baseline) : null },
    { what: "Changed about", value: drifts && isNumber(began) ? dateText(began, today) : null },
    {
      what: drifts ? "Speed since then over the speed before" : "Speed of the later ones over the first",
      value: isNumber(estimate) ? `${figure(estimate)} times` : null,
    },
    {
      what: "Its limits, 95 %",
      value: isNumber(lower) || isNumber(upper) ? limits(lower, upper) : null,
    },
    { what: "p", value: isNumber(p) ? pText(p) : null },
  ];
}
