import { useRef, useState } from "preact/hooks";
import { CHECKS, type CheckId } from "../../../../station/model/plan.js";
import type { TrialNow } from "../../../../station/model/specimen.js";
import { useAsked, useDoing } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { askTrials } from "../ask-trials.js";
import { BlockNeeds } from "./block-needs.js";
import { needsOfBlock } from "./needs-of-block.js";

interface Props {
  readonly plan: TrialNow["plan"];
  readonly block: number;
  readonly checks: readonly CheckId[];
}

/** What is looked at before a block: each is pressed for itself, and none is pressed beforehand. */
export function ChecksNeed({ plan, block, checks }: Props) {
  const [done, setDone] = useState<readonly CheckId[]>([]);
  const { busy, refusal, attempt } = useDoing();
  const lines = useRef<HTMLDivElement>(null);
  const left = checks.length - done.length;
  const asked = useAsked(`${plan.id} ${block}`, () => askTrials.plan(plan.id));
  // What came in above the checks later would move them away under a finger.
  const settled = asked.answer !== null || asked.refusal !== null;
  return (
    <div class="need need-checks" data-testid="need-checks">
      <h2>
        Before {plan.method === "search" ? "round" : "block"} {block}
      </h2>
      {!settled && <p class="soft">Looking up what it takes…</p>}
      {asked.answer !== null && <BlockNeeds needs={needsOfBlock(asked.answer, block)} />}
      <div class="choice-lines" ref={lines}>
        {(settled ? checks : []).map((check) => (
          <label class="choice choice-line" key={check}>
            <input
              type="checkbox"
              data-testid={`check-${check}`}
              checked={done.includes(check)}
              onChange={(event) => {
                const { checked } = event.currentTarget;
                // Two fingers may press two before the page is drawn anew.
                setDone((before) => {
                  const others = before.filter((each) => each !== check);
                  return checked ? [...others, check] : others;
                });
              }}
            />
            <span>{CHECKS[check]}</span>
          </label>
        ))}
      </div>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class={left === 0 ? "button button-main button-wide" : "button button-wide"}
        data-testid="checks-done"
        aria-disabled={busy || left > 0}
        onClick={() => {
          if (left === 0) void attempt(() => askTrials.checked(plan.id, block, done));
          else lines.current?.querySelector<HTMLElement>("input:not(:checked)")?.focus();
        }}
      >
        {left === 0 ? "All looked at" : left === 1 ? "1 more to look at" : `${left} more to look at`}
      </button>
    </div>
  );
}
