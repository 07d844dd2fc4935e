import { useEffect, useState } from "preact/hooks";
import type { BackupsView, KeptBackup } from "../../../station/model/backup.js";
import { bytesText } from "../../../station/model/disk.js";
import { ask } from "../link/ask.js";
import { useAsked, useDoing } from "../link/asked.js";
import { start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { Sign } from "../marks/signs.js";
import { Wide } from "../marks/wide.js";
import { ageText, isoText, whenText } from "../words/time.js";

/** While one is being made, the page asks this often how far it is. */
const ASK_AGAIN_MS = 1500;
/** More are folded away. */
const MOST_SHOWN = 5;

function LastGood({ view, wall }: { view: BackupsView; wall: number }) {
  const { lastGoodWall, nextWall } = view;
  const next =
    nextWall === null || view.running
      ? ""
      : nextWall <= wall
        ? " The next is due now."
        : ` The next is due ${whenText(nextWall, wall)}.`;
  if (lastGoodWall === null)
    return (
      <p>
        There is no {view.backups.length > 0 && "good "}backup yet.{next}
      </p>
    );
  return (
    <p>
      Last good one <time dateTime={isoText(lastGoodWall)}>{whenText(lastGoodWall, wall)}</time>,{" "}
      {ageText(Math.max(0, wall - lastGoodWall))} ago.{next}
    </p>
  );
}

function Listed({ backups, wall }: { backups: readonly KeptBackup[]; wall: number }) {
  return (
    <Wide name="Backups" look="table-scroll">
      <table class="table" data-testid="backups">
        <caption class="unseen">Backups, the newest first</caption>
        <thead>
          <tr>
            <th scope="col">Made</th>
            <th scope="col">Size</th>
            <th scope="col">Kept as newest of its</th>
          </tr>
        </thead>
        <tbody>
          {backups.map(({ file, wall: made, bytes, generations }) => (
            <tr key={file} title={file}>
              <th scope="row">
                <time dateTime={isoText(made)}>{whenText(made, wall)}</time>
              </th>
              <td class="size">{bytesText(bytes)}</td>
              <td>{generations.join(", ")}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

/** When the last good copy of the journal was made, and the button that makes one now. */
export function Backups({ wall }: { wall: number }) {
  const [view, setView] = useState<BackupsView | null>(null);
  const asked = useAsked(start.value, ask.backups);
  const { busy, refusal, attempt } = useDoing();
  const running = busy || (view?.running ?? false);
  useEffect(() => {
    if (asked.answer !== null) setView(asked.answer);
  }, [asked.answer]);
  useEffect(() => {
    if (!view?.running) return;
    const timer = setTimeout(asked.again, ASK_AGAIN_MS);
    return () => clearTimeout(timer);
  }, [view, asked.again]);
  const backups = view?.backups ?? [];
  return (
    <section class="card" aria-labelledby="backups-title">
      <h2 id="backups-title">Backups</h2>
      {view !== null && view.folder === null && (
        <>
          <p>
            <strong>There are none.</strong> If the card fails, every run and reading is lost with it. Put
            this into <code>station.yaml</code>, with a folder on a drive of its own, and start the station
            again:
          </p>
          <p>
            <code>{"backup: { folder: /mnt/backup }"}</code>
          </p>
        </>
      )}
      {view !== null && view.folder !== null && (
        <>
          <LastGood view={view} wall={wall} />
          <p class="soft">
            Each is opened and checked before it counts. Made daily at {view.at}, into{" "}
            <span class="path">{view.folder}</span>
          </p>
          {view.trouble !== null && !running && (
            <p class="trouble-line trouble-bad" role="alert">
              <Sign name="note" /> <span>{view.trouble}</span>
            </p>
          )}
          <button
            type="button"
            class="button button-main"
            data-testid="backup-now"
            aria-disabled={running}
            onClick={() => {
              if (!running) void attempt(async () => setView(await ask.backUpNow()));
            }}
          >
            {running ? "Being made and checked…" : "Back up now"}
          </button>
          <p role="status" class="unseen">
            {running ? "A backup is being made." : ""}
          </p>
          {backups.length > 0 && <Listed backups={backups.slice(0, MOST_SHOWN)} wall={wall} />}
          {backups.length > MOST_SHOWN && (
            <details>
              <summary>{backups.length - MOST_SHOWN} older ones</summary>
              <Listed backups={backups.slice(MOST_SHOWN)} wall={wall} />
            </details>
          )}
        </>
      )}
      <RefusalText refusal={refusal ?? (view === null ? asked.refusal : null)} again={asked.again} />
    </section>
  );
}
