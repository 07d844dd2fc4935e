import type { LotView } from "../../../../station/model/lot.js";
import { STOCKS } from "../../../../station/model/lot.js";
import { useAsked } from "../../link/asked.js";
import { start } from "../../link/live.js";
import { RefusalText } from "../../marks/refusal.js";
import { usePageTitle } from "../../shell/page-title.js";
import { PageTop } from "../../shell/page-top.js";
import { asEntered, numberText } from "../../words/number.js";
import { publishedDay } from "../../words/time.js";
import { askTrials } from "../ask-trials.js";
import { thicknessWords } from "./lot-words.js";
import { NeverMark } from "./never.js";

function LotLine({ lot }: { lot: LotView }) {
  const { facts } = lot;
  const measured = thicknessWords(lot);
  return (
    <li>
      <a class="trial-line lot-line" href={`/lots/${lot.id}`} data-testid={`lot-row-${lot.number}`}>
        <span class="trial-name">{lot.name}</span>
        <span>
          {STOCKS[facts.stock]}, {asEntered(facts.nominal_mm)}&nbsp;mm
          <span class="soft">
            {measured === null ? ", not measured" : `, measured ${measured}`}
            {lot.density !== null && `, ${numberText(lot.density, 0)}\u00a0kg/m³`}
          </span>
        </span>
        <span class="soft">
          {[
            ...(facts.supplier === undefined ? [] : [facts.supplier]),
            ...(facts.received_on === undefined ? [] : [`received ${publishedDay(facts.received_on)}`]),
          ].join(", ")}
        </span>
        <span class="run-flags">
          <NeverMark lot={lot} />
        </span>
      </a>
    </li>
  );
}

export function LotsPage() {
  usePageTitle("Lots");
  const { answer: lots, refusal, again } = useAsked(start.value, askTrials.lots);
  return (
    <div class="page">
      <PageTop back="/plans" word="Trials">
        <header class="page-head">
          <h1>Lots of sheets</h1>
          <a class="button button-main" href="/lots/new" data-testid="lot-add">
            Add a lot
          </a>
        </header>
      </PageTop>
      <RefusalText refusal={refusal} again={again} />
      {lots === null && refusal === null && <p role="status">Fetching the lots.</p>}
      {lots?.length === 0 && (
        <p>No lot yet. A lot is what came in one delivery: sheets that may be taken to be alike.</p>
      )}
      {lots !== null && (
        <ol class="trial-lines">
          {lots.map((lot) => (
            <LotLine key={lot.id} lot={lot} />
          ))}
        </ol>
      )}
    </div>
  );
}
