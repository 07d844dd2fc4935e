import { useState } from "preact/hooks";
import type { TrialNow } from "../../../../station/model/specimen.js";
import { gradeWord } from "../plan/grade-words.js";
import { STATE_WORDS } from "../plan/state.js";
import { WhyPanel } from "../plan/why-panel.js";
import { OutcomeButtons } from "./outcome-buttons.js";

interface Props {
  readonly last: TrialNow["last"];
  readonly open: boolean;
  /** Then nothing is graded at the machine, and no grade is told there. */
  readonly blind: boolean;
}

/** The piece that was cut last: a quick look back, which nobody has to give. */
export function LastCut({ last, open, blind }: Props) {
  const [spoilt, setSpoilt] = useState(false);
  if (last === null || open) return null;
  const { code, state, grades } = last;
  const through = grades[0].through;
  const asks = state === "cut" && !blind && through === undefined;
  return (
    <div class="last-cut" data-testid="last-cut">
      <div class="last-line">
        {asks ? (
          <h3 class="outcomes-title">
            How far through is <span class="code">{code}</span>?
          </h3>
        ) : (
          <p>
            <span class="soft">Last: </span>
            <span class="code">{code}</span>{" "}
            {state === "cut"
              ? !blind && through !== undefined && <strong>{gradeWord("through", through.value)}</strong>
              : STATE_WORDS[state].toLowerCase()}
          </p>
        )}
        {state === "cut" && (
          <button
            type="button"
            class="button button-small"
            data-testid="last-spoilt"
            onClick={() => setSpoilt(true)}
          >
            Spoilt
          </button>
        )}
      </div>
      {asks && <OutcomeButtons code={code} big={false} />}
      {spoilt && <WhyPanel code={code} step="spoilt" close={() => setSpoilt(false)} done={() => undefined} />}
    </div>
  );
}
