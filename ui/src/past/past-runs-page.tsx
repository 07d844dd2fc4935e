import { useEffect, useState } from "preact/hooks";
import type { PastImport } from "../../../station/model/past-run.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { PastTable } from "./past-table.js";
import { Tried } from "./tried.js";

/** Runs from before the station, out of a spreadsheet. */
export function PastRunsPage() {
  usePageTitle("Past runs");
  const listed = useAsked("past runs", ask.pastRuns);
  const runs = listed.answer?.runs ?? [];
  return (
    <div class="page">
      <PageTop back="/plans" word="Trials">
        <h1>Past runs</h1>
      </PageTop>
      <p class="soft">
        Runs that you kept in a spreadsheet before. They have no readings behind them, so they are shown and
        compared as what you wrote down.
      </p>
      <TakeIn taken={listed.again} />
      <Guide />
      <section class="card" aria-labelledby="past-title">
        <h2 id="past-title">Taken in so far</h2>
        <RefusalText refusal={listed.refusal} />
        {listed.answer !== null && runs.length === 0 && <p>None yet.</p>}
        {runs.length > 0 && <PastTable runs={runs.map(({ body }) => body)} total={listed.answer?.total} />}
      </section>
    </div>
  );
}

function TakeIn({ taken }: { taken: () => void }) {
  const [file, setFile] = useState<File | null>(null);
  const [found, setFound] = useState<PastImport | null>(null);
  const { busy, refusal, attempt } = useDoing();
  useEffect(() => {
    setFound(null);
    if (file !== null) void attempt(async () => setFound(await ask.takePastRuns(file, true)));
  }, [file, attempt]);
  const take = () => {
    if (file === null) return;
    void attempt(async () => {
      setFound(await ask.takePastRuns(file, false));
      taken();
    });
  };
  const fit = found !== null && found.badRows === 0 && found.rows > 0 && found.kept === null;
  return (
    <section class="card" aria-labelledby="take-in-title">
      <h2 id="take-in-title">Take a spreadsheet in</h2>
      <div class="past-file">
        <label for="past-file">The table, saved as CSV (UTF-8)</label>
        <input
          id="past-file"
          type="file"
          accept=".csv,text/csv"
          // The same file may have been mended and be chosen again.
          onClick={(event) => {
            event.currentTarget.value = "";
          }}
          onChange={(event) => setFile(event.currentTarget.files?.[0] ?? null)}
        />
      </div>
      <p class="soft">It is looked through first; nothing is kept until you say so.</p>
      <RefusalText refusal={refusal} />
      {found !== null && <Tried found={found} />}
      {fit && (
        <button
          type="button"
          class="button button-main"
          data-testid="take-past-runs"
          aria-disabled={busy}
          onClick={take}
        >
          Take in {found.rows} {found.rows === 1 ? "run" : "runs"}
        </button>
      )}
    </section>
  );
}

function Guide() {
  const { answer } = useAsked("past columns", ask.pastColumns);
  return (
    <details class="card">
      <summary>Which columns there are</summary>
      <p>
        The first line names the columns, in any order. Those that are not in this list are kept as notes.
        Where a comma stands before the decimals, semicolons stand between the cells.
      </p>
      <dl class="column-guide">
        {answer?.columns.map(({ name, required, expected }) => (
          <div key={name}>
            <dt>
              <code>{name}</code>
              {required && " (must be there)"}
            </dt>
            <dd>{expected}</dd>
          </div>
        ))}
      </dl>
    </details>
  );
}
