import { CHECKS } from "../../../../station/model/plan.js";
import type { BlockView, PlanView } from "../../../../station/model/specimen.js";
import { whenText } from "../../words/time.js";
import { nameOf } from "../lots/lot-words.js";
import { SpecimenLine } from "./specimen-line.js";

interface Props {
  readonly plan: PlanView;
  readonly block: BlockView;
  readonly today: number;
  readonly changed: () => void;
}

/** A block in the order of cutting. */
export function BlockCard({ plan, block, today, changed }: Props) {
  const { need } = plan;
  const next = need.need === "nothing" || need.need === "checks" ? null : need.code;
  const names = new Map(plan.lots.map((lot) => [lot.id, nameOf(lot)]));
  const { checked } = block;
  const word = plan.facts.layout.method === "search" ? "Round" : "Block";
  return (
    <section class="card" aria-labelledby={`block-${block.block}`} data-testid={`block-${block.block}`}>
      <h2 id={`block-${block.block}`}>
        {word} {block.block}
      </h2>
      {checked !== null && checked.done.length > 0 && (
        <details class="checked">
          <summary>
            {checked.done.length === 1 ? "1 check" : `${checked.done.length} checks`} at{" "}
            {whenText(checked.wall, today)}
          </summary>
          <ul class="sentences">
            {checked.done.map((check) => (
              <li key={check}>{CHECKS[check]}</li>
            ))}
          </ul>
        </details>
      )}
      <ol class="specimens">
        {block.specimens.map((specimen) => (
          <SpecimenLine
            key={specimen.code}
            specimen={specimen}
            lotName={names.get(specimen.lot) ?? ""}
            next={specimen.code === next}
            running={plan.phase === "running"}
            changed={changed}
          />
        ))}
      </ol>
    </section>
  );
}
