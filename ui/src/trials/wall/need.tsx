import { useState } from "preact/hooks";
import type { Run } from "../../../../station/model/run.js";
import type { TrialNow } from "../../../../station/model/specimen.js";
import { useDoing } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { useArmed } from "../../now/armed.js";
import { askTrials } from "../ask-trials.js";
import { stepOf } from "../entering.js";
import { WhyPanel } from "../plan/why-panel.js";
import { ChecksNeed } from "./checks.js";
import { CutNext } from "./cut-next.js";
import { OutcomeButtons } from "./outcome-buttons.js";

/** @param told whether how far through it is may be told here: of a blind plan whoever cuts knows too much to grade */
function DoneNeed({ code, told }: { code: string; told: boolean }) {
  const { busy, refusal, attempt } = useDoing();
  const armed = useArmed(code);
  return (
    <div class="need need-done" data-testid="need-done">
      <h2>
        Is <span class="code">{code}</span> done?
      </h2>
      <p>The laser began its run, and may begin another of the same piece.</p>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button button-main button-wide"
        data-testid="specimen-done"
        aria-disabled={busy || !armed}
        onClick={() => {
          if (armed) void attempt(() => askTrials.enter(stepOf(code, "done")));
        }}
      >
        Done: next specimen
      </button>
      {told && (
        <>
          <h3 class="outcomes-title">
            How far through is <span class="code">{code}</span>?
          </h3>
          <OutcomeButtons code={code} big={false} />
        </>
      )}
    </div>
  );
}

/**
 * A search goes on by the outcome, so that whoever cuts tells it at once, of a blind plan too: all else of that is graded by the code
 * alone.
 */
function OutcomeNeed({ code }: { code: string }) {
  const [spoilt, setSpoilt] = useState(false);
  return (
    <div class="need need-outcome" data-testid="need-outcome">
      <header>
        <h2>
          <span class="code">{code}</span>: how far through?
        </h2>
        <button type="button" class="button button-small" onClick={() => setSpoilt(true)}>
          Spoilt
        </button>
      </header>
      <OutcomeButtons code={code} big />
      {spoilt && <WhyPanel code={code} step="spoilt" close={() => setSpoilt(false)} done={() => undefined} />}
    </div>
  );
}

function NothingNeeded({ trial }: { trial: TrialNow }) {
  const all = trial.plan.method === "ladder" && trial.of > 0;
  return (
    <div class="need" data-testid="need-nothing">
      <h2>{all ? "All is cut" : "Nothing to cut now"}</h2>
      <p>
        {all
          ? `${trial.cut} of ${trial.of} specimens are cut; none is waiting.`
          : `${trial.cut} specimens are cut. The next round is laid out as soon as the search has chosen it.`}
      </p>
      <div class="links">
        <a class="button" href={`/plans/${trial.plan.id}`}>
          The plan
        </a>
        <a class="button" href="/grade">
          Grade a specimen
        </a>
      </div>
    </div>
  );
}

/** What the person at the machine does next. */
export function Need({ trial, run }: { trial: TrialNow; run: Run | null }) {
  const { need, plan, specimen } = trial;
  if (need.need === "checks") {
    return (
      <ChecksNeed key={`${plan.id} ${need.block}`} plan={plan} block={need.block} checks={need.checks} />
    );
  }
  if (need.need === "done") {
    return <DoneNeed code={need.code} told={plan.method === "ladder" && !plan.blind} />;
  }
  if (need.need === "outcome") return <OutcomeNeed key={need.code} code={need.code} />;
  if (need.need === "cut" && specimen !== null) {
    return <CutNext key={specimen.code} trial={trial} specimen={specimen} run={run} />;
  }
  return <NothingNeeded trial={trial} />;
}
