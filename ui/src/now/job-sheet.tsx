import { useRef, useState } from "preact/hooks";
import type { NowSnapshot } from "../../../station/model/now.js";
import type { TrialNow } from "../../../station/model/specimen.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { amend } from "../link/live.js";
import { draftOf, EMPTY_DRAFT, settingsOf, summaryOf } from "../settings/draft.js";
import { FormRefusal, useExpected } from "../settings/expected.js";
import { SettingsFields } from "../settings/fields.js";
import { useModal } from "../shell/modal.js";
import { Voice } from "../voice/voice.js";
import { entryWords, isOfPlan } from "./run-control.js";

/** While a plan runs its next specimen is put on the sheet by the station: a form would put an older one back. */
function PlansSheet({ now, trial }: { now: NowSnapshot; trial: TrialNow }) {
  return (
    <div class="sheet-body" data-testid="job-sheet-of-plan">
      <p>
        P{trial.plan.number} {trial.plan.title} is running: its next specimen is put here by itself. To cut
        something else, <a href={`/plans/${trial.plan.id}`}>pause the plan</a> first.
      </p>
      {isOfPlan(now) ? (
        <p>{summaryOf(now.jobSheet).join(", ")}</p>
      ) : (
        <p>
          A run that is begun before is of no specimen of the plan, and takes what was last entered:{" "}
          {summaryOf(now.jobSheet).join(", ") || "nothing"}.
        </p>
      )}
    </div>
  );
}

/** The sheet of settings the next run will take, in a panel over the page. Nothing goes to the station before "Keep". */
export function JobSheet({ now, close }: { now: NowSnapshot; close: () => void }) {
  const panel = useRef<HTMLDialogElement>(null);
  const [draft, setDraft] = useState(() => draftOf(now.jobSheet));
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  // The station's sheet can change under an open panel; the line tells of the entry the fields were filled from.
  const [origin] = useState(() => (summaryOf(now.jobSheet).length === 0 ? null : entryWords(now)));
  const [cleared, setCleared] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const expected = useExpected(refusal, wrong, panel, settingsOf(draft).wrong);

  useModal(panel);

  const keep = async () => {
    const read = settingsOf(draft);
    setWrong(read.wrong);
    if (read.wrong.size > 0) return;
    const done = await attempt(async () => {
      const jobSheet = await ask.enterJobSheet(read.settings);
      amend({ jobSheet, jobSheetWall: now.wall });
    });
    if (done) close();
  };

  if (now.trial !== null && now.trial.need.need !== "nothing") {
    return (
      <dialog class="sheet sheet-short" ref={panel} aria-labelledby="sheet-title" onClose={close}>
        <Voice />
        <h2 id="sheet-title">Job sheet</h2>
        <PlansSheet now={now} trial={now.trial} />
        <footer class="sheet-foot">
          <button type="button" class="button" data-testid="job-sheet-cancel" onClick={close}>
            Close
          </button>
        </footer>
      </dialog>
    );
  }
  return (
    <dialog
      class="sheet"
      ref={panel}
      aria-labelledby="sheet-title"
      onClose={close}
      data-testid="job-sheet-panel"
    >
      <Voice />
      <form
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void keep();
        }}
      >
        <header class="sheet-head">
          <div>
            <h2 id="sheet-title">Job sheet</h2>
            <p>
              {now.run ? "For the next run, not the one that is open. " : "What the next run will take. "}
              {cleared
                ? "Cleared."
                : origin === null
                  ? "Nothing has been entered yet."
                  : `Filled in ${origin}.`}
            </p>
          </div>
          <button
            type="button"
            class="button"
            data-testid="job-sheet-clear"
            onClick={() => {
              setDraft(EMPTY_DRAFT);
              setWrong(new Map());
              setCleared(true);
            }}
          >
            Clear
          </button>
        </header>
        <div class="sheet-body">
          <SettingsFields draft={draft} wrong={expected} change={setDraft} />
        </div>
        <FormRefusal refusal={refusal} wrong={expected} />
        <footer class="sheet-foot">
          <button type="button" class="button" data-testid="job-sheet-cancel" onClick={close}>
            Leave as it was
          </button>
          <button type="submit" class="button button-main" data-testid="job-sheet-keep" aria-disabled={busy}>
            Keep for the next run
          </button>
        </footer>
      </form>
    </dialog>
  );
}
