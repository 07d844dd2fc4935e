import { bytesText } from "../../../station/model/disk.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { JournalDoubt } from "../marks/journal-doubt.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { dateText, isoText } from "../words/time.js";
import { Backups } from "./backups.js";
import { Exports } from "./exports.js";

/** Whether what is measured and cut is being kept, for how long, and where else there is a copy of it. */
export function JournalPage() {
  usePageTitle("Journal");
  const doubt = now.value?.journal.doubt ?? null;
  // Asked again when the look through it is over.
  const journal = useAsked(`${start.value} ${doubt}`, ask.journal);
  const span = useAsked(start.value, ask.span);
  const wall = now.value?.wall ?? Date.now();
  const from = span.answer?.from ?? null;
  const bytes = journal.answer?.disk.journalBytes ?? null;
  return (
    <div class="page">
      <h1>Journal</h1>
      <div class="pair">
        <section class="card" aria-labelledby="journal-title">
          <h2 id="journal-title">What is kept</h2>
          <p data-testid="journal-words">{now.value?.journal.text ?? "…"}</p>
          {doubt !== null ? (
            <JournalDoubt />
          ) : (
            <p class="soft" data-testid="soundness">
              {journal.answer?.soundness.text ?? "…"}
            </p>
          )}
          <dl class="journal-facts">
            <dt>Readings since</dt>
            <dd>
              {span.answer === null ? (
                "…"
              ) : from === null ? (
                "none yet"
              ) : (
                <time dateTime={isoText(from)}>{dateText(from, wall)}</time>
              )}
            </dd>
            <dt>Size</dt>
            <dd>{bytes === null ? "not known" : bytesText(bytes)}</dd>
            <dt>File</dt>
            <dd class="path">{journal.answer?.file ?? "…"}</dd>
          </dl>
          <RefusalText refusal={span.refusal ?? journal.refusal} again={span.again} />
        </section>
        <Backups wall={wall} />
      </div>
      <section class="card" aria-labelledby="tables-title">
        <h2 id="tables-title">For a spreadsheet</h2>
        <p>
          All runs with their conditions, and all that the alarms did. Readings are saved below; what a chart
          shows, on the page <a href="/history">History</a>.
        </p>
        <p class="tables">
          <a class="button" href="/api/tables/runs.csv" download="runs.csv">
            Runs (CSV)
          </a>
          <a class="button" href="/api/tables/alarms.csv" download="alarms.csv">
            Alarms (CSV)
          </a>
        </p>
      </section>
      <Exports />
      <section class="card" aria-labelledby="command-title">
        <h2 id="command-title">With a command</h2>
        <p>On the station itself, in its folder:</p>
        <dl class="commands">
          <dt>
            Put a backup back, with the station stopped. The journal that is there is moved aside, not
            overwritten.
          </dt>
          <dd>
            <code>npm run station -- restore FILE</code>
          </dd>
          <dt>Check whether the journal is sound, and every stamp agrees with its readings.</dt>
          <dd>
            <code>npm run station -- verify</code>
          </dd>
          <dt>Make charts right that are not, from the readings, with the station stopped.</dt>
          <dd>
            <code>npm run station -- verify --repair</code>
          </dd>
          <dt>All readings as a table.</dt>
          <dd>
            <code>npm run station -- export --out readings.csv</code>
          </dd>
        </dl>
      </section>
    </div>
  );
}
