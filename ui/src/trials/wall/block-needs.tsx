import { useAsked } from "../../link/asked.js";
import { asEntered } from "../../words/number.js";
import { askTrials } from "../ask-trials.js";
import { needsOfBlock } from "./needs-of-block.js";

/** Beside the checks of a block: sheets and spacers that it takes. They differ by lot, and the lots take turns. */
export function BlockNeeds({ plan, block }: { plan: string; block: number }) {
  const { answer } = useAsked(`${plan} ${block}`, () => askTrials.plan(plan));
  if (answer === null) return null;
  return (
    <ul class="block-needs" data-testid="block-needs">
      {needsOfBlock(answer, block).map(({ lot, name, pieces, spacer }) => (
        <li key={lot}>
          <strong>{name}</strong>{" "}
          <span>
            {pieces === 1 ? "1 piece" : `${pieces} pieces`},{" "}
            {spacer === null ? "spacer not said" : `spacer ${asEntered(spacer)}\u00a0mm`}
          </span>
        </li>
      ))}
    </ul>
  );
}
