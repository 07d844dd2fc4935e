import type { PlanView } from "../../../../station/model/specimen.js";
import { useAsked } from "../../link/asked.js";
import { asEntered } from "../../words/number.js";
import { askTrials } from "../ask-trials.js";
import { nameOf } from "../plan/block-card.js";

interface LotNeed {
  readonly lot: string;
  readonly name: string;
  readonly pieces: number;
  /** mm; null where it is not known. */
  readonly spacer: number | null;
}

/** What of each lot is still to be cut in a block, in the order in which the lots come. */
export function needsOfBlock(plan: Pick<PlanView, "blocks" | "lots">, block: number): readonly LotNeed[] {
  const waiting = plan.blocks
    .filter((each) => each.block === block)
    .flatMap(({ specimens }) => specimens.filter(({ state }) => state === "waiting"));
  return plan.lots.flatMap((lot) => {
    const its = waiting.filter((specimen) => specimen.lot === lot.id);
    const [first] = its;
    if (first === undefined) return [];
    const spacer = first.setting.focus_spacer_mm ?? null;
    return [{ lot: lot.id, name: nameOf(lot), pieces: its.length, spacer }];
  });
}

/** Beside the checks of a block: sheets and spacers that it takes. They differ by lot, and the lots take turns. */
export function BlockNeeds({ plan, block }: { plan: string; block: number }) {
  const { answer } = useAsked(`${plan} ${block}`, () => askTrials.plan(plan));
  if (answer === null) return null;
  return (
    <ul class="block-needs" data-testid="block-needs">
      {needsOfBlock(answer, block).map(({ lot, name, pieces, spacer }) => (
        <li key={lot}>
          <strong>{name}</strong>, {pieces === 1 ? "1 piece" : `${pieces} pieces`},{" "}
          {spacer === null ? "spacer not said" : `spacer ${asEntered(spacer)}\u00a0mm`}
        </li>
      ))}
    </ul>
  );
}
