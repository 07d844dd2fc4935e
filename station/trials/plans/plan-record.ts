import { AppError } from "../../errors.js";
import type { AskTrials, SpecimenInPlan } from "../../journal/trials/calls.js";
import type { KeptEntry } from "../../model/entry.js";
import type { PlanFacts, PlanPhase, PlanPreview } from "../../model/plan.js";
import type { Grades, GradingSheet, PlanRow, PlanView, SpecimenOutcome } from "../../model/specimen.js";
import { bendingResult } from "../bending-result.js";
import { throughUpTo } from "../decision/speeds.js";
import { lotName, photoRowOf } from "../lot-view.js";
import { readCode } from "../specimen-code.js";
import type { PlanDesk } from "./plan-desk.js";
import { engravedCodes, type LabelsAsked, planLabels } from "./plan-labels.js";

export interface PlanRecordParts {
  readonly desk: PlanDesk;
  readonly ask: AskTrials;
}

function unknown(): AppError {
  return new AppError("plan-unknown", "The journal has no plan of this id.");
}

/** Plans and their specimens as people ask for them: from the journal, with what the desk knows and the disk does not yet. */
export function createPlanRecord({ desk, ask }: PlanRecordParts) {
  /** @throws AppError `plan-unknown` */
  async function find(id: string): Promise<PlanView> {
    const found = await ask("plan", { id, late: desk.late(id) });
    if (found === null) throw unknown();
    return found;
  }

  /** @throws AppError `specimen-unknown`, with what is wrong with the code */
  async function specimenOf(typed: string): Promise<SpecimenInPlan> {
    const read = readCode(typed);
    if ("wrong" in read) throw new AppError("specimen-unknown", read.wrong);
    const kept = await ask("specimen", read.code);
    if (kept === null)
      throw new AppError("specimen-unknown", `No specimen has the code ${read.code} in this journal.`);
    const asked = { code: read.code, plan: kept.plan, late: desk.late(kept.plan) };
    const found = await ask("specimenView", asked);
    if (found === null) throw new AppError("specimen-unknown", "Its plan has no such specimen.");
    return found;
  }

  return {
    find,
    /** As JSON in UTF-8. @throws AppError `plan-unknown` */
    async text(id: string): Promise<Uint8Array> {
      const found = await ask("planText", { id, late: desk.late(id) });
      if (found === null) throw unknown();
      return found;
    },
    /** CSV in UTF-8. @throws AppError `plan-unknown` */
    async table(id: string): Promise<Uint8Array> {
      const found = await ask("planTable", { id, late: desk.late(id) });
      if (found === null) throw unknown();
      return found;
    },
    preview: (facts: PlanFacts): Promise<PlanPreview> => ask("preview", facts),
    /** Newest first. */
    async list(): Promise<PlanRow[]> {
      const rows = await ask("plans", null);
      return rows.map(({ plan, specimens, cut, phase }) => ({
        ...plan,
        phase: (phase as PlanPhase | null) ?? "ready",
        specimens,
        cut,
      }));
    },
    labels: async (id: string, asked: LabelsAsked) => planLabels(await find(id), asked),
    /** Of the specimens that were not cut yet. @throws AppError `plan-unknown`, `request-invalid` where there are none */
    async codesOf(id: string): Promise<string[]> {
      const { blocks } = await find(id);
      const codes = blocks.flatMap(({ specimens }) =>
        specimens.filter(({ state }) => state === "waiting").map(({ code }) => code),
      );
      if (codes.length > 0) return codes;
      throw new AppError("request-invalid", "No specimen of this plan is waiting to be cut.");
    },
    engraved: engravedCodes,
    /** Whether it was cut through, by the first grading and the rule of its plan; null where that is not known, and where it is spoilt. */
    async outcome(typed: string): Promise<SpecimenOutcome> {
      const { plan, specimen } = await specimenOf(typed);
      const grade = specimen.grades[0].through?.value;
      const known = specimen.state === "cut" && grade !== undefined;
      return {
        through: known ? grade <= throughUpTo(plan.facts) : null,
        run: specimen.cutWith === null ? null : (specimen.runs.at(-1)?.id ?? null),
      };
    },
    /** What a grading is made of: of a blind one neither lot nor setting, and never the grades of the other grading. */
    async gradingSheet(typed: string, grading: 1 | 2): Promise<GradingSheet> {
      const { plan, lot, specimen } = await specimenOf(typed);
      const { blind, title, properties } = plan.facts;
      const grades = specimen.grades[grading - 1] as Grades;
      const photos = await ask("entriesOf", { kind: "photo", subject: specimen.code });
      return {
        code: specimen.code,
        plan: { id: plan.id, number: plan.number, title },
        blind,
        lotName: blind || lot === null ? null : lotName(lot),
        setting: blind ? null : specimen.setting,
        state: specimen.state,
        twice: specimen.twice,
        properties,
        grading,
        grades,
        bending: bendingResult(grades, lot?.facts.nominal_mm ?? 0),
        photos: (photos as KeptEntry<"photo">[]).map(photoRowOf),
      };
    },
  };
}
