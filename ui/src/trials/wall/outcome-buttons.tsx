import { PROPERTIES } from "../../../../station/model/grade.js";
import { useDoing } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { useArmed } from "../../now/armed.js";
import { askTrials } from "../ask-trials.js";
import { outcomeOf } from "../entering.js";

/** How far through it was cut, as the rubric has it: a press is the grade. A heading over them says which specimen they are about. */
export function OutcomeButtons({ code, big }: { code: string; big: boolean }) {
  const { busy, refusal, attempt } = useDoing();
  const armed = useArmed(code);
  return (
    <>
      <RefusalText refusal={refusal} />
      <div class={big ? "outcomes outcomes-big" : "outcomes"}>
        {PROPERTIES.through.grades.map(({ word, sentence }, value) => (
          <button
            key={word}
            type="button"
            class="button outcome"
            data-testid={`outcome-${value}`}
            aria-disabled={busy || !armed}
            onClick={() => {
              if (armed) void attempt(() => askTrials.enter(outcomeOf(code, value)));
            }}
          >
            <strong>{word}</strong>
            {big && <span>{sentence}</span>}
          </button>
        ))}
      </div>
    </>
  );
}
