import { asEntered } from "../../words/number.js";
import type { LotNeed } from "./needs-of-block.js";

/** Beside the checks of a block: sheets and spacers that it takes. They differ by lot, and the lots take turns. */
export function BlockNeeds({ needs }: { needs: readonly LotNeed[] }) {
  return (
    <ul class="block-needs" data-testid="block-needs">
      {needs.map(({ lot, name, pieces, spacer }) => (
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
