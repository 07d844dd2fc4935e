import { randomUUID } from "node:crypto";
import { AppError } from "../../errors.js";
import type { AskTrials, LatePlan } from "../../journal/trials/calls.js";
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
  /** What of a plan, and of entries about anything, is not on the disk yet. */
  readonly late: (plan: string) => LatePlan;
}

/** What a plan shows, what was decided on it, and the settings sheets of lots. What is entered is only ever added. */
export function createDecisionRecord({ facts, enter, ask, late }: DecisionRecordParts) {
  /** Newest first, with those that are not on the disk yet. */
  async function entriesOf<K extends "decision" | "sheet">(
    kind: K,
    subject: string,
    plan: string,
  ): Promise<KeptEntry<K>[]> {
    // Before the journal is asked: what reaches the disk meanwhile is in the one or in both.
    const its = late(plan).entries.filter((each) => each.kind === kind && each.subject === subject);
    const kept = await ask("entriesOf", { kind, subject });
    const known = new Set(kept.map(({ entry }) => entry));
    const newer = its.filter(({ entry }) => !known.has(entry)).reverse();
    return [...newer, ...kept] as KeptEntry<K>[];
  }

  /** @throws AppError `lot-unknown` */
  async function lotOf(id: string): Promise<Lot> {
    const lot = await ask("lot", id);
    if (lot === null) throw new AppError("lot-unknown", "The journal has no lot of this id.");
    return lot;
  }

  async function sheet(id: string): Promise<SettingsSheet> {
    const lot = await lotOf(id);
    const entries = await entriesOf("sheet", id, "");
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
      const view = await ask("decision", { id, facts: await facts(), late: late(id) });
      if (view === null) throw new AppError("plan-unknown", "The journal has no plan of this id.");
      const entries = await entriesOf("decision", id, id);
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
