import { useEffect, useRef, useState } from "preact/hooks";
import type { RunRow } from "../../../station/model/now.js";
import { ask, type Refusal, refusalOf } from "../link/ask.js";
import { now, start } from "../link/live.js";
import { JournalDoubt } from "../marks/journal-doubt.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { RunLine } from "./run-line.js";

interface Held {
  readonly runs: readonly RunRow[];
  readonly more: boolean;
}

/** The runs by number, latest first, each once: a page of the list can overlap with what is held. */
function together(held: readonly RunRow[], more: readonly RunRow[]): readonly RunRow[] {
  const byNumber = new Map(held.map((run) => [run.number, run]));
  for (const run of more) byNumber.set(run.number, run);
  return [...byNumber.values()].sort((a, b) => b.number - a.number);
}

function useRuns(flagged: boolean) {
  const [held, setHeld] = useState<Held | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const [loading, setLoading] = useState(false);
  // Bumped when what is held is dropped, so that an answer to an older question is not added to the new list.
  const round = useRef(0);

  const fetchFrom = async (before: number | null) => {
    const mine = round.current;
    setLoading(true);
    setRefusal(null);
    try {
      const answer = await ask.runs(before, flagged);
      if (mine !== round.current) return;
      setHeld((was) =>
        before === null || was === null
          ? answer
          : { runs: together(was.runs, answer.runs), more: answer.more },
      );
    } catch (reason) {
      if (mine === round.current) setRefusal(refusalOf(reason));
    } finally {
      if (mine === round.current) setLoading(false);
    }
  };

  const openRun = now.value?.run?.id ?? "";
  useEffect(() => {
    round.current += 1;
    setHeld(null);
    void fetchFrom(null);
  }, [start.value, flagged]);
  useEffect(() => {
    if (round.current === 0 || held === null) return;
    round.current += 1;
    void fetchFrom(null);
  }, [openRun]);

  const last = held?.runs.at(-1)?.number ?? null;
  const loadMore = () => {
    if (!loading) void fetchFrom(last);
  };
  return { held, refusal, loading, loadMore, again: () => void fetchFrom(null) };
}

export function RunsPage() {
  usePageTitle("Runs");
  const [flagged, setFlagged] = useState(false);
  const { held, refusal, loading, loadMore, again } = useRuns(flagged);
  const today = now.value?.wall ?? Date.now();
  return (
    <div class="page">
      <header class="page-head">
        <h1>Runs</h1>
        <label class="switch">
          <input
            type="checkbox"
            data-testid="flagged-only"
            checked={flagged}
            onChange={(event) => setFlagged(event.currentTarget.checked)}
          />
          <span>Flagged only</span>
        </label>
      </header>
      <JournalDoubt />
      <RefusalText refusal={refusal} again={again} />
      {held === null && refusal === null && <p role="status">Fetching the runs.</p>}
      {held?.runs.length === 0 && (
        <p>
          {flagged ? "No run is flagged." : "No run yet. Begin one on the page Now, or with the foot switch."}
        </p>
      )}
      {held !== null && held.runs.length > 0 && (
        <>
          <div class="run-heads" aria-hidden="true">
            <span>Run</span>
            <span>When</span>
            <span>Material and setting</span>
            <span>Coolant</span>
            <span>Flags</span>
          </div>
          <ol class="runs">
            {held.runs.map((run) => (
              <RunLine key={run.id} run={run} today={today} />
            ))}
          </ol>
          {held.more && (
            <button
              type="button"
              class="button"
              data-testid="load-more"
              aria-disabled={loading}
              onClick={loadMore}
            >
              Load earlier runs
            </button>
          )}
        </>
      )}
    </div>
  );
}
