import { AppError } from "../errors.js";
import type { TrialActionMap, TrialReads } from "../journal/trials/calls.js";
import type { KeptEntry } from "../model/entry.js";
import type { Clock } from "../model/instant.js";
import type { Lot, LotFacts, LotView } from "../model/lot.js";
import { type Kept, keptWithin } from "./kept.js";
import { viewLot } from "./lot-view.js";

export interface LotRecordParts {
  readonly clock: Clock;
  readonly keep: (name: "lotKept", params: TrialActionMap["lotKept"]["params"]) => Promise<Lot>;
  readonly ask: <K extends "lots" | "entriesOf">(
    question: K,
    params: TrialReads[K]["params"],
  ) => Promise<TrialReads[K]["result"]>;
}

/** The lots of sheets as people ask for them. */
export function createLotRecord({ clock, keep, ask }: LotRecordParts) {
  const photosOf = async (id: string) =>
    (await ask("entriesOf", { kind: "photo", subject: id })) as KeptEntry<"photo">[];
  return {
    /** Newest first, without their photos. */
    async list(): Promise<LotView[]> {
      const all = await ask("lots", null);
      return all.map((lot) => viewLot(lot, all, []));
    },
    /** @throws AppError `lot-unknown` */
    async find(id: string): Promise<LotView> {
      const all = await ask("lots", null);
      const lot = all.find((each) => each.id === id);
      if (lot === undefined) throw new AppError("lot-unknown", "The journal has no lot of this id.");
      return viewLot(lot, all, await photosOf(id));
    },
    /** Adds a lot, or changes what was entered of it: what it was before is kept. */
    put(id: string, facts: LotFacts, by: string | null): Promise<Kept<{ readonly id: string }>> {
      const keeping = keep("lotKept", { id, facts, at: clock.now(), by });
      return keptWithin(
        keeping.then(() => ({ id })),
        { id },
      );
    },
  };
}
