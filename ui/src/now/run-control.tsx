import { useState } from "preact/hooks";
import type { NowSnapshot } from "../../../station/model/now.js";
import type { Run } from "../../../station/model/run.js";
import type { TrialNow } from "../../../station/model/specimen.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { silentMs } from "../link/heard.js";
import { amend } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { summaryOf } from "../settings/draft.js";
import { durationText, hourAndMinute, whenText } from "../words/time.js";
import { useArmed } from "./armed.js";
import { JobSheet } from "./job-sheet.js";

const CAUSE_WORDS: Readonly<Record<Run["cause"], string>> = {
  screen: "",
  "foot-switch": ", by the foot switch",
  "laser-on": ", by the laser",
};

/** A press does not count at once after another: that the button waits is said on it. */
function runWords(run: Run | null, armed: boolean): string {
  if (run === null) return armed ? "Begin run" : "Ended: wait";
  return armed ? "End run" : "Begun: wait";
}

/** One button for both, so that the focus of a keyboard stays on it. */
function RunButton({ now: { run, jobSheet, trial } }: { now: NowSnapshot }) {
  const { busy, refusal, attempt } = useDoing();
  const armed = useArmed(run?.id ?? "");
  const press = () =>
    attempt(async () => {
      if (run === null) {
        // Of a plan that is running the station knows best which specimen is next: what this page has seen may be older.
        amend({ run: await ask.begin(trial === null ? jobSheet : null), runOpenMs: 0 });
      } else {
        await ask.end(run.id);
        amend({ run: null, runOpenMs: null });
      }
    });
  return (
    <>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class={run === null && !waitsForAnswer(trial) ? "button button-main button-run" : "button button-run"}
        data-testid={run === null ? "run-begin" : "run-end"}
        aria-disabled={busy || !armed}
        onClick={() => armed && void press()}
      >
        {runWords(run, armed)}
      </button>
    </>
  );
}

/** Whether a plan waits for checks or an answer: a run that is begun now is of none of its specimens, or of the last once more. */
function waitsForAnswer(trial: TrialNow | null): boolean {
  return trial !== null && ["checks", "outcome", "done"].includes(trial.need.need);
}

/** What is to be done before the plan's next run; null for nothing. */
function comesFirst({ need, plan }: TrialNow): string | null {
  if (need.need === "checks")
    return `the checks of ${plan.method === "search" ? "round" : "block"} ${need.block}`;
  return need.need === "outcome" ? `the answer about ${need.code}` : null;
}

/** Whether the next run is of the specimen that the plan has next. */
export function isOfPlan({ trial, jobSheet }: NowSnapshot): boolean {
  return trial?.specimen != null && jobSheet.specimen === trial.specimen.code;
}

/** Whether the run that is open is of none of the plan's specimens. */
function isOfNone(run: Run, { cutting, specimen }: TrialNow): boolean {
  const { specimen: code } = run.settings;
  // A run that this page has just begun may be newer than what it knows of the plan.
  return code === undefined || (code !== cutting && code !== specimen?.code);
}

/** When what the next run takes was entered, in words. */
export function entryWords(now: NowSnapshot): string {
  return now.jobSheetWall == null
    ? "from the last entry"
    : `from the last entry at ${whenText(now.jobSheetWall, now.wall)}`;
}

/** A pedal that is pressed and does nothing would leave the run without its record. One that was never read may yet be. */
function isFootSwitchDead({ channels }: NowSnapshot): boolean {
  return channels.some(
    ({ kind, value, reason }) => kind === "foot-switch" && value === null && reason !== "never-read",
  );
}

export function RunControl({ now }: { now: NowSnapshot }) {
  const [sheetOpen, setSheetOpen] = useState(false);
  const { run } = now;
  const openMs = now.runOpenMs ?? 0;
  const settings = summaryOf(run ? run.settings : now.jobSheet);
  const first = now.trial === null ? null : comesFirst(now.trial);
  return (
    <section class={run ? "run-control run-open" : "run-control"} aria-label="Run">
      {run ? (
        <p class="run-words">
          <strong>
            Run {run.number}, open for {durationText(openMs + silentMs.value)}
          </strong>
          <span class="run-since">
            , since {hourAndMinute(now.wall - openMs)}
            {CAUSE_WORDS[run.cause]}
          </span>
          . {now.trial !== null && isOfNone(run, now.trial) && "Of no specimen of the plan. "}
          <span class="soft">{settings.join(", ")}</span>
        </p>
      ) : (
        <p class="run-words">
          {first !== null && !isOfPlan(now) ? (
            <>
              <strong>Next run:</strong> after {first}.
            </>
          ) : settings.length === 0 ? (
            <>
              <strong>Next run:</strong> the job sheet is empty.
            </>
          ) : (
            <>
              <strong>Next run: </strong>
              {!isOfPlan(now) && <span class="soft run-entered">({entryWords(now)}) </span>}
              {settings.join(", ")}
            </>
          )}
        </p>
      )}
      {isFootSwitchDead(now) && (
        <p class="run-foot" role="status">
          Foot switch dead: press here.
        </p>
      )}
      <div class="run-buttons">
        <button type="button" class="button" data-testid="job-sheet" onClick={() => setSheetOpen(true)}>
          Job sheet
        </button>
        <div class="run-main">
          <RunButton now={now} />
        </div>
      </div>
      {sheetOpen && <JobSheet now={now} close={() => setSheetOpen(false)} />}
    </section>
  );
}
