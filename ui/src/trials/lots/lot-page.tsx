import { useState } from "preact/hooks";
import { useLocation, useRoute } from "preact-iso/router";
import type { LotView } from "../../../../station/model/lot.js";
import { settledCount, waiting } from "../../grading/outbox.js";
import { Photos } from "../../grading/photos.js";
import { Refused } from "../../grading/waiting-card.js";
import { ask } from "../../link/ask.js";
import { useAsked, useFollowed } from "../../link/asked.js";
import { now, start } from "../../link/live.js";
import { newId } from "../../link/new-id.js";
import { NoSuch, RefusalText } from "../../marks/refusal.js";
import { useGoOn } from "../../shell/go-on.js";
import { usePageTitle } from "../../shell/page-title.js";
import { PageTop } from "../../shell/page-top.js";
import { askTrials } from "../ask-trials.js";
import { anotherLotOf, EMPTY_LOT, lotDraftOf } from "./lot-draft.js";
import { LotFactsCards } from "./lot-facts.js";
import { LotForm } from "./lot-form.js";
import { LotCautions, NeverMark } from "./never.js";

function suppliersOf(lots: readonly LotView[] | null): string[] {
  return [...new Set((lots ?? []).flatMap(({ facts }) => facts.supplier ?? []))].sort();
}

/** As it was said on the page Workshop; empty where it was not. */
function useCurrency(): string {
  return useAsked(`${start.value} workshop`, ask.workshop).answer?.facts.currency ?? "";
}

/** A lot that is not kept yet. What is filled in from another one is said. */
export function NewLotPage() {
  usePageTitle("A new lot");
  const { query, route } = useLocation();
  const goOn = useGoOn();
  const [id] = useState(newId);
  const currency = useCurrency();
  const { answer: lots, refusal, again } = useAsked(start.value, askTrials.lots);
  const like = lots?.find((each) => each.id === query.like) ?? null;
  return (
    <div class="page">
      <PageTop back="/lots" word="All lots">
        <h1>A new lot</h1>
      </PageTop>
      <RefusalText refusal={refusal} again={again} />
      {lots !== null && (
        <>
          {like !== null && (
            <p class="filled-in">
              What it is has been filled in from {like.name}: look at it. What has to be measured or paid anew
              is empty.
            </p>
          )}
          <LotForm
            begin={like === null ? EMPTY_LOT : anotherLotOf(like.facts)}
            suppliers={suppliersOf(lots)}
            currency={currency}
            leave={() => route("/lots")}
            leaveWords="Leave without keeping"
            keep={async (facts) => {
              await askTrials.keepLot(id, facts);
              goOn(`/lots/${id}`, true);
            }}
          />
        </>
      )}
    </div>
  );
}

function LotRecord({ lot, currency, change }: { lot: LotView; currency: string; change: () => void }) {
  const today = now.value?.wall ?? Date.now();
  const own = waiting.value.flatMap((item) =>
    item.kind === "photo" && item.subject === lot.id ? [item] : [],
  );
  return (
    <>
      <LotCautions lot={lot} />
      {lot.sinceLast !== null && (
        <section class="card" aria-labelledby="lot-since">
          <h2 id="lot-since">Since the last lot, {lot.sinceLast.lot}</h2>
          {lot.sinceLast.differences.length === 0 ? (
            <p>No difference in what was measured of both.</p>
          ) : (
            <ul class="sentences">
              {lot.sinceLast.differences.map((each) => (
                <li key={each}>{each}</li>
              ))}
            </ul>
          )}
        </section>
      )}
      <LotFactsCards lot={lot} currency={currency} fillIn={change} />
      <Refused wall={today} />
      <Photos
        subject={lot.id}
        called={lot.name}
        title={null}
        photos={lot.photos}
        waiting={own}
        today={today}
      />
      <div class="links">
        <button type="button" class="button" data-testid="lot-change" onClick={change}>
          Change
        </button>
        <a class="button" href={`/lots/new?like=${lot.id}`}>
          Another lot of this
        </a>
        <a class="button" href={`/settings-sheet/${lot.id}`}>
          Settings sheet
        </a>
      </div>
    </>
  );
}

export function LotPage() {
  const id = useRoute().params.id ?? "";
  const [changing, setChanging] = useState(false);
  const currency = useCurrency();
  const {
    answer: lot,
    refusal,
    again,
  } = useFollowed(`${start.value} ${id}`, String(settledCount.value), () => askTrials.lot(id));
  usePageTitle(lot?.name ?? "Lot");
  return (
    <div class="page">
      <PageTop back="/lots" word="All lots">
        <h1>
          {lot?.name ?? "Lot"} {lot !== null && <NeverMark lot={lot} />}
        </h1>
      </PageTop>
      <NoSuch what="lot" refusal={refusal} again={again} />
      {lot === null && refusal === null && <p role="status">Fetching the lot.</p>}
      {lot !== null && !changing && (
        <LotRecord lot={lot} currency={currency} change={() => setChanging(true)} />
      )}
      {lot !== null && changing && (
        <LotForm
          begin={lotDraftOf(lot.facts)}
          suppliers={[]}
          currency={currency}
          leave={() => setChanging(false)}
          leaveWords="Leave it as it was"
          keep={async (facts) => {
            await askTrials.keepLot(id, facts);
            setChanging(false);
            again();
          }}
        />
      )}
    </div>
  );
}
