import type { PlanView } from "../../../../station/model/specimen.js";
import { nameOf } from "../lots/lot-words.js";

export interface LotNeed {
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
