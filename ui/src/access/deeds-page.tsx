import { useEffect, useState } from "preact/hooks";
import type { KeptDeed } from "../../../station/model/deed.js";
import { useAsked, useDoing } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Wide } from "../marks/wide.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { isoText, whenText } from "../words/time.js";
import { askAccess } from "./ask-access.js";
import { deedWords, outcomeWords } from "./deed-words.js";

/** Who did what, newest first. */
export function DeedsPage() {
  usePageTitle("Who did what");
  const { answer, refusal, again } = useAsked(`${start.value} deeds`, () => askAccess.deeds(null));
  const [earlier, setEarlier] = useState<{ deeds: readonly KeptDeed[]; more: boolean } | null>(null);
  const asking = useDoing();
  useEffect(() => setEarlier(null), [answer]);
  const deeds = [...(answer?.deeds ?? []), ...(earlier?.deeds ?? [])];
  const more = earlier?.more ?? answer?.more ?? false;
  const last = deeds.at(-1)?.id ?? null;
  const wall = now.value?.wall ?? Date.now();
  return (
    <div class="page">
      <PageTop back="/access" word="Access">
        <h1>Who did what</h1>
      </PageTop>
      <RefusalText refusal={refusal} again={again} />
      {answer !== null && deeds.length === 0 && <p>Nothing yet.</p>}
      {deeds.length > 0 && (
        <div class="card">
          <Wide name="Who did what" look="table-scroll">
            <table class="table" data-testid="deeds">
              <caption class="unseen">What was done, the newest first</caption>
              <thead>
                <tr>
                  <th scope="col">When</th>
                  <th scope="col">Who</th>
                  <th scope="col">What</th>
                  <th scope="col">Outcome</th>
                </tr>
              </thead>
              <tbody>
                {deeds.map((deed) => (
                  <tr key={deed.id}>
                    <th scope="row">
                      <time dateTime={isoText(deed.at.wall)}>{whenText(deed.at.wall, wall)}</time>
                    </th>
                    <td>
                      {deed.who ?? "nobody signed in"}
                      <span class="soft">
                        {deed.role !== null && `, ${deed.role}`}
                        {deed.address !== null && `, ${deed.address}`}
                      </span>
                    </td>
                    <td>
                      {deedWords(deed.what)} <span class="soft">{deed.subject}</span>
                    </td>
                    <td>{outcomeWords(deed.outcome)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Wide>
        </div>
      )}
      <RefusalText refusal={asking.refusal} />
      {more && (
        <button
          type="button"
          class="button"
          aria-disabled={asking.busy}
          onClick={() =>
            void asking.attempt(async () => {
              const next = await askAccess.deeds(last);
              setEarlier({ deeds: [...(earlier?.deeds ?? []), ...next.deeds], more: next.more });
            })
          }
        >
          Earlier
        </button>
      )}
    </div>
  );
}
