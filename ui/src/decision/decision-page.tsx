import { useRoute } from "preact-iso/router";
import type { DecisionView } from "../../../station/model/decision.js";
import { planMark } from "../../../station/model/plan.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { NoSuch } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { CostTable } from "./cost-table.js";
import { OwnDecision } from "./own-decision.js";
import { PropertyCard } from "./property-card.js";
import { Conditions, Speeds } from "./speeds.js";
import { ToSheet } from "./to-sheet.js";

/** With more lots the sentences go by their marks alone: their names stand over them. */
const MOST_NAMED = 2;

/** What a plan shows, on a page for the screen and for the folder. */
export function DecisionPage() {
  const { params } = useRoute();
  const id = params.id ?? "";
  const { answer, refusal, again } = useAsked(`${start.value} ${id}`, () => ask.decision(id));
  usePageTitle("Decision");
  if (answer === null)
    return (
      <div class="page">
        <PageTop
          back={refusal?.final ? "/plans" : `/plans/${id}`}
          word={refusal?.final ? "Trials" : "The plan"}
        >
          <h1>Decision</h1>
        </PageTop>
        {refusal === null ? (
          <p role="status">Asking the station.</p>
        ) : (
          <NoSuch what="plan" refusal={refusal} again={again} />
        )}
      </div>
    );
  const { view } = answer;
  const told = view.properties.filter(({ lots }) => lots.some(({ n }) => n > 0));
  const said = new Set(view.sentences);
  const notKnown = view.notKnown.filter((sentence) => !said.has(sentence));
  return (
    <div class="page decision">
      <PageTop back={`/plans/${id}`} word={`${planMark(view.plan)} ${view.plan.title}`}>
        <h1>
          Decision: {planMark(view.plan)} {view.plan.title}
        </h1>
      </PageTop>
      <p class="decision-links">
        <a href="/workshop">Workshop: part, rates, margin</a>
        <button type="button" class="button" onClick={() => window.print()}>
          Print
        </button>
      </p>
      <Conclusions view={view} />
      <Speeds view={view} said={said} />
      {told.map((property) => (
        <PropertyCard key={property.id} property={property} said={said} />
      ))}
      <CostTable view={view} said={new Set([...said, ...notKnown])} />
      <Conditions view={view} />
      <List id="not-known" title="What is not known" sentences={notKnown} />
      <OwnDecision plan={id} answer={answer} kept={again} />
      <section class="card" aria-labelledby="to-sheet-title">
        <h2 id="to-sheet-title">Settings found</h2>
        {view.settings.length === 0 && <p>No speed that cuts through was found yet.</p>}
        {view.settings.map((setting) => (
          <ToSheet
            key={`${setting.lot} ${setting.speedMmS}`}
            plan={id}
            setting={setting}
            sheet={answer.sheets.find(({ lot }) => lot.id === setting.lot) ?? null}
            kept={again}
          />
        ))}
      </section>
    </div>
  );
}

function Conclusions({ view }: { view: DecisionView }) {
  return (
    <section class="card" aria-labelledby="conclusions-title" data-testid="conclusions">
      <h2 id="conclusions-title">Conclusions</h2>
      {view.lots.length > MOST_NAMED && (
        <ul class="decision-lots" aria-label="The lots">
          {view.lots.map(({ id, name }) => (
            <li key={id}>{name}</li>
          ))}
        </ul>
      )}
      {view.sentences.length === 0 && <p>Nothing can be concluded yet.</p>}
      <ul class="sentences">
        {view.sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <p class="soft">Limits hold 95 times in 100.</p>
    </section>
  );
}

function List({ id, title, sentences }: { id: string; title: string; sentences: readonly string[] }) {
  if (sentences.length === 0) return null;
  return (
    <section class="card" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ul class="sentences">
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
