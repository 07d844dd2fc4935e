import { useEffect, useState } from "preact/hooks";
import type { NowSnapshot } from "../../../station/model/now.js";
import type { Run } from "../../../station/model/run.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { silentMs } from "../link/heard.js";
import { amend } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { summaryOf } from "../settings/draft.js";
import { durationText, hourAndMinute, whenText } from "../words/time.js";
import { JobSheet } from "./job-sheet.js";

/** A second press of a wet finger on the place where "Begin run" was must not end the run it began. */
const END_ARMED_AFTER_MS = 1500;

const CAUSE_WORDS: Readonly<Record<Run["cause"], string>> = {
  screen: "",
  "foot-switch": ", by the foot switch",
  "laser-on": ", by the laser",
};

function EndRun({ run }: { run: Run }) {
  const { busy, refusal, attempt } = useDoing();
  const [armed, setArmed] = useState(false);
  useEffect(() => {
    setArmed(false);
    const arm = setTimeout(() => setArmed(true), END_ARMED_AFTER_MS);
    return () => clearTimeout(arm);
  }, [run.id]);
  const end = () =>
    attempt(async () => {
      await ask.end(run.id);
      amend({ run: null });
    });
  return (
    <>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button button-run"
        data-testid="run-end"
        disabled={busy || !armed}
        onClick={() => void end()}
      >
        End run
      </button>
    </>
  );
}

function BeginRun({ now }: { now: NowSnapshot }) {
  const { busy, refusal, attempt } = useDoing();
  const begin = () =>
    attempt(async () => {
      amend({ run: await ask.begin(now.jobSheet) });
    });
  return (
    <>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button button-main button-run"
        data-testid="run-begin"
        disabled={busy}
        onClick={() => void begin()}
      >
        Begin run
      </button>
    </>
  );
}

/** When what the next run takes was entered, in words. */
export function entryWords(now: NowSnapshot): string {
  return now.jobSheetWall == null
    ? "from the last entry"
    : `from the last entry at ${whenText(now.jobSheetWall, now.wall)}`;
}

export function RunControl({ now }: { now: NowSnapshot }) {
  const [sheetOpen, setSheetOpen] = useState(false);
  const { run } = now;
  const settings = summaryOf(run ? run.settings : now.jobSheet);
  return (
    <section class={run ? "run-control run-open" : "run-control"} aria-label="Run">
      {run ? (
        <p class="run-words">
          <strong>
            <a href={`/runs/${encodeURIComponent(run.id)}`}>Run {run.number}</a>, open for{" "}
            {durationText(now.wall + silentMs.value - run.startWall)}
          </strong>
          <span class="run-since">
            , since {hourAndMinute(run.startWall)}
            {CAUSE_WORDS[run.cause]}
          </span>
          . <span class="soft">{settings.join(", ")}</span>
        </p>
      ) : (
        <p class="run-words">
          {settings.length === 0 ? (
            <>
              <strong>Next run:</strong> the job sheet is empty.
            </>
          ) : (
            <>
              <strong>Next run: </strong>
              <span class="soft run-entered">({entryWords(now)}) </span>
              {settings.join(", ")}
            </>
          )}
        </p>
      )}
      <div class="run-buttons">
        <button type="button" class="button" data-testid="job-sheet" onClick={() => setSheetOpen(true)}>
          Job sheet
        </button>
        <div class="run-main">{run ? <EndRun run={run} /> : <BeginRun now={now} />}</div>
      </div>
      {sheetOpen && <JobSheet now={now} close={() => setSheetOpen(false)} />}
    </section>
  );
}
