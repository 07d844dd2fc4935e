import { useState } from "preact/hooks";
import type { SpecimenView } from "../../../../station/model/specimen.js";
import { useDoing } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { askTrials } from "../ask-trials.js";
import { stepOf } from "../entering.js";
import { WhyPanel } from "./why-panel.js";

interface Props {
  readonly specimen: SpecimenView;
  readonly running: boolean;
  readonly changed: () => void;
}

/** What can be done with a specimen as it stands. */
export function SpecimenActions({ specimen, running, changed }: Props) {
  const { code, state, replacedBy } = specimen;
  const [asking, setAsking] = useState<"skipped" | "spoilt" | null>(null);
  const { busy, refusal, attempt } = useDoing();
  const press = async (deed: () => Promise<unknown>) => {
    if (await attempt(deed)) changed();
  };
  const button = (words: string, deed: () => unknown) => (
    <button type="button" class="button" aria-disabled={busy} onClick={deed}>
      {words}
    </button>
  );
  return (
    <div class="actions">
      {state === "waiting" &&
        running &&
        button("Cut this one next", () => press(() => askTrials.enter(stepOf(code, "chosen"))))}
      {state === "waiting" && button("Skip", () => setAsking("skipped"))}
      {state === "cut" && button("Spoilt", () => setAsking("spoilt"))}
      {(state === "skipped" || state === "spoilt") &&
        button(state === "skipped" ? "Take the skip back" : "It was not spoilt", () =>
          press(() => askTrials.enter(stepOf(code, "waiting"))),
        )}
      {(state === "cut" || state === "spoilt") &&
        replacedBy === null &&
        button("Cut again", () => press(() => askTrials.again(code)))}
      <a class="button" href={`/s/${code}`}>
        Grade
      </a>
      <RefusalText refusal={refusal} />
      {asking !== null && <WhyPanel code={code} step={asking} close={() => setAsking(null)} done={changed} />}
    </div>
  );
}
