import { randomUUID } from "node:crypto";
import { AppError } from "../../errors.js";
import type { AskTrials } from "../../journal/trials/calls.js";
import type { DecisionAnswer, KeptDecision, SettingsSheet } from "../../model/decision.js";
import type { Entry, EntryBody, KeptEntry } from "../../model/entry.js";
import type { Lot } from "../../model/lot.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import type { Kept } from "../kept.js";
import { lotName } from "../lot-view.js";
import { sheetLines } from "./sheet-lines.js";

export interface DecisionRecordParts {
  readonly facts: () => Promise<WorkshopFacts>;
  readonly enter: (entries: readonly Entry[]) => Promise<Kept<unknown>>;
  readonly ask: AskTrials;
}

/** What a plan shows, what was decided on it, and the settings sheets of lots. What is entered is only ever added. */
export function createDecisionRecord({ facts, enter, ask }: DecisionRecordParts) {
  /** @throws AppError `lot-unknown` */
  async function lotOf(id: string): Promise<Lot> {
    const lot = await ask("lot", id);
    if (lot === null) throw new AppError("lot-unknown", "The journal has no lot of this id.");
    return lot;
  }

  async function sheet(id: string): Promise<SettingsSheet> {
    const lot = await lotOf(id);
    const entries = (await ask("entriesOf", { kind: "sheet", subject: id })) as KeptEntry<"sheet">[];
    const plans = await ask("plans", null);
    const numbers = new Map(plans.map(({ plan }) => [plan.id, plan.number]));
    return {
      lot: { id, number: lot.number, name: lotName(lot) },
      lines: sheetLines(entries, numbers),
    };
  }

  return {
    sheet,
    /** @throws AppError `plan-unknown` */
    async find(id: string): Promise<DecisionAnswer> {
      const view = await ask("decision", { plan: id, facts: await facts() });
      if (view === null) throw new AppError("plan-unknown", "The journal has no plan of this id.");
      const entries = (await ask("entriesOf", { kind: "decision", subject: id })) as KeptEntry<"decision">[];
      return {
        view,
        decisions: entries.map(
          ({ body, wall, by }): KeptDecision => ({
            ...body,
            lotName: view.lots.find((lot) => lot.id === body.lot)?.name ?? null,
            ...{ wall, by },
          }),
        ),
        sheets: await Promise.all(view.lots.map((lot) => sheet(lot.id))),
      };
    },
    /**
     * @param entry given by the page, so that what is sent twice is kept once
     * @throws AppError `plan-unknown`, or `lot-unknown` for a lot that the plan does not compare
     */
    async decided(
      id: string,
      body: EntryBody<"decision">,
      by: string | null,
      entry: string = randomUUID(),
    ): Promise<Kept<unknown>> {
      const plans = await ask("plans", null);
      const its = plans.find(({ plan }) => plan.id === id)?.plan;
      if (its === undefined) throw new AppError("plan-unknown", "The journal has no plan of this id.");
      if (body.lot !== null && !its.facts.lots.includes(body.lot))
        throw new AppError("lot-unknown", "This plan compares no lot of this id: choose one that it does.");
      const kind = "decision";
      return enter([{ entry, kind, subject: id, property: "", body, enteredWall: null, by }]);
    },
    /** @throws AppError `lot-unknown` */
    async onSheet(
      lot: string,
      body: EntryBody<"sheet">,
      by: string | null,
      entry: string = randomUUID(),
    ): Promise<Kept<unknown>> {
      await lotOf(lot);
      return enter([
        { entry, kind: "sheet", subject: lot, property: body.what, body, enteredWall: null, by },
      ]);
    },
  };
}
