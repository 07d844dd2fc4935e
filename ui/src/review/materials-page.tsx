import { useLocation } from "preact-iso/router";
import { type MaterialsAnswer, REVIEW_CONDITIONS } from "../../../station/model/review.js";
import type { MaterialsView } from "../../../station/model/review-views.js";
import { figure, limits } from "../decision/figure.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Wide } from "../marks/wide.js";
import { usePageTitle } from "../shell/page-title.js";
import { askReview } from "./ask-review.js";
import { Numbers } from "./figures-list.js";
import { Awaited, ReviewFrame } from "./review-frame.js";
import { SpeedAxis } from "./speed-axis.js";
import { StockChoice } from "./stock-choice.js";
import { Advice, Told } from "./told.js";
import { isNumber, pText } from "./words.js";

/** Which of two stocks is really better. */
export function MaterialsPage() {
  usePageTitle("Which stock is better");
  const { query, route } = useLocation();
  const [first, second] = [query.first ?? "", query.second ?? ""];
  const choose = (one: string, other: string) =>
    route(`/review/materials?${new URLSearchParams({ first: one, second: other })}`, true);
  const listed = useAsked(`${start.value} stocks`, askReview.overview);
  const stocks = listed.answer?.stocks ?? [];
  return (
    <ReviewFrame title="Which stock is really better?" printable={first !== "" && second !== ""}>
      <Awaited {...listed} />
      {listed.answer !== null && stocks.length < 2 && (
        <p class="card">
          {stocks.length === 0
            ? "No stock was cut whose outcome is known: there is nothing to compare yet."
            : `Only ${stocks[0]?.name} was cut so far: there is nothing to compare it with.`}
        </p>
      )}
      {stocks.length > 1 && (
        <section class="card no-print" aria-label="Choose two stocks">
          <div class="fields">
            <StockChoice
              label="First"
              stocks={stocks}
              value={first}
              // Who chooses what the other one is means them the other way about.
              change={(name) => choose(name, name === second ? first : second)}
            />
            <StockChoice
              label="Second"
              stocks={stocks}
              value={second}
              change={(name) => choose(name === first ? second : first, name)}
            />
          </div>
        </section>
      )}
      {first !== "" && second !== "" && <Compared first={first} second={second} />}
      <Advice />
    </ReviewFrame>
  );
}

function Compared({ first, second }: { first: string; second: string }) {
  const { answer, refusal, again } = useAsked(`${start.value} ${first}\n${second}`, () =>
    askReview.materials(first, second),
  );
  return (
    <>
      <RefusalText refusal={refusal} again={again} />
      {answer === null && refusal === null && <p role="status">Comparing the two.</p>}
      {answer !== null && <Answer view={answer} />}
    </>
  );
}

function Answer({ view }: { view: MaterialsView }) {
  const { answer, costs } = view;
  return (
    <>
      <section class="card" aria-label="Answer">
        <p class="review-sentence" data-testid="review-sentence">
          {answer.sentence}
        </p>
        <Numbers method={answer.method} rows={numbersOf(answer)} />
      </section>
      <section class="card" aria-labelledby="cuts-title">
        <h2 id="cuts-title">The cuts, by speed</h2>
        <SpeedAxis speeds={answer.speeds} />
        <p>The speed, mm/s, at which half the cuts go through, and 19 of 20:</p>
        <Speeds answer={answer} />
        <Beyond answer={answer} />
      </section>
      {answer.looks.length > 0 && (
        <section class="card" aria-labelledby="looks-title">
          <h2 id="looks-title">Other looks at the same two</h2>
          {answer.looks.map(({ what, sentence, warnings, method, n, p }) => (
            <div class="review-together" key={what}>
              <h3>{what}</h3>
              <p>{sentence}</p>
              {warnings.map((warning) => (
                <p class="soft" key={warning}>
                  {warning}
                </p>
              ))}
              <Numbers
                method={method}
                rows={[
                  { what: "Made of", value: String(n) },
                  { what: "p", value: isNumber(p) ? pText(p) : null },
                ]}
              />
            </div>
          ))}
        </section>
      )}
      <Told title="What would overturn it" sentences={answer.overturn} />
      {costs !== null && (
        <section class="card" aria-labelledby="costs-title">
          <h2 id="costs-title">What a good part costs</h2>
          <ul class="sentences">
            {costs.sentences.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
          <p>
            <a class="way" href={`/plans/${encodeURIComponent(costs.plan.id)}/decision`}>
              Decision of {costs.plan.mark} {costs.plan.title}
            </a>
          </p>
        </section>
      )}
      <Told title="What next" sentences={answer.next.map(({ sentence }) => sentence)} />
      <Told title="Left out, and to be careful of" sentences={[...answer.warnings, ...view.warnings]} />
    </>
  );
}

function Speeds({ answer: { speeds } }: { answer: MaterialsAnswer }) {
  return (
    <Wide name="Speeds" look="wide-table">
      <table>
        <thead>
          <tr>
            <th scope="col">Stock</th>
            <th scope="col" class="number">
              Half
            </th>
            <th scope="col">Limits</th>
            <th scope="col" class="number">
              19 in 20
            </th>
          </tr>
        </thead>
        <tbody>
          {speeds.map(({ name, estimate, lower, upper, surely }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td class="number">{figure(isNumber(estimate) ? estimate : null)}</td>
              <td>{limits(isNumber(lower) ? lower : null, isNumber(upper) ? upper : null)}</td>
              <td class="number">{figure(isNumber(surely.estimate) ? surely.estimate : null)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** A curve goes on where nothing was cut, and nobody has seen what a cut does there. */
function Beyond({ answer: { speeds } }: { answer: MaterialsAnswer }) {
  const cut = speeds.flatMap(({ cuts }) => cuts.map(({ speed_mm_s }) => speed_mm_s));
  const [slowest, fastest] = [Math.min(...cut), Math.max(...cut)];
  const told = speeds.flatMap(({ estimate, lower, upper, surely }) => [
    estimate,
    lower,
    upper,
    surely.estimate,
  ]);
  if (cut.length === 0 || told.every((speed) => !isNumber(speed) || (speed >= slowest && speed <= fastest)))
    return null;
  return (
    <p class="soft">
      Nothing was cut slower than {figure(slowest)} or faster than {figure(fastest)} mm/s: speeds beyond these
      are where the curve would lead.
    </p>
  );
}

function numbersOf({ estimate, lower, upper, p, n, plain, beside }: MaterialsAnswer) {
  const ratio = (value: number | null, from: number | null, to: number | null) => {
    if (!isNumber(value)) return null;
    return `${figure(value)} times (${isNumber(from) || isNumber(to) ? `limits ${limits(from, to)}` : "no limits"})`;
  };
  return [
    { what: "Speed at which half go through, second over first", value: ratio(estimate, lower, upper) },
    { what: "p", value: isNumber(p) ? pText(p) : null },
    {
      what: "The same without a look at the conditions",
      value: ratio(plain.estimate, plain.lower, plain.upper),
    },
    {
      what: "Taken into account beside the speed",
      value: beside.length === 0 ? "nothing" : beside.map(besideName).join(", "),
    },
    { what: "Cuts it is made of", value: String(n) },
  ];
}

function besideName(id: string): string {
  return Object.hasOwn(REVIEW_CONDITIONS, id)
    ? REVIEW_CONDITIONS[id as keyof typeof REVIEW_CONDITIONS].name
    : id;
}
