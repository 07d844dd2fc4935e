import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import { type EntryAnswer, type SentEntry, sentEntriesSchema } from "../../model/entry.js";
import {
  CHECK_IDS,
  type CheckId,
  type PlanFacts,
  type PlanPhase,
  type PlanPreview,
} from "../../model/plan.js";
import { planFactsSchema } from "../../model/plan-schema.js";
import type { GradingSheet, PlanRow, Specimen, SpecimenOutcome, TrialNow } from "../../model/specimen.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept, answerWritten, bytesOf } from "../answer.js";
import { valid } from "../validate.js";

export interface PlansService {
  list(): Promise<readonly PlanRow[]>;
  /** A `PlanView` as JSON in UTF-8. */
  text(id: string): Promise<Uint8Array>;
  /** Its specimens for a spreadsheet: CSV (RFC 4180) in UTF-8. */
  table(id: string): Promise<Uint8Array>;
  preview(facts: PlanFacts): Promise<PlanPreview>;
  lay(id: string, facts: PlanFacts): Promise<Kept<{ readonly id: string }>>;
  phase(id: string, phase: Exclude<PlanPhase, "ready">, by: string | null): Promise<Kept<TrialNow | null>>;
  checked(
    id: string,
    block: number,
    done: readonly CheckId[],
    by: string | null,
  ): Promise<Kept<TrialNow | null>>;
  gradingSheet(typed: string, grading: 1 | 2): Promise<GradingSheet>;
  outcome(typed: string): Promise<SpecimenOutcome>;
  again(code: string): Promise<Kept<Specimen>>;
  enter(entries: readonly SentEntry[]): Promise<Kept<readonly EntryAnswer[]>>;
}

const by = textSchema(40).nullable().default(null);
const addressSchema = z.object({ id: z.uuid("the id of a plan") });
const codeSchema = z.object({ code: z.string().max(20) });
const phaseSchema = z.strictObject({ phase: z.enum(["running", "paused", "closed"]), by });
const checksSchema = z.strictObject({ block: z.int().min(1), done: z.array(z.enum(CHECK_IDS)), by });
const gradingSchema = z.strictObject({ grading: z.enum(["1", "2"]).default("1") });

export function planRoutes(service: PlansService): Router {
  const routes = Router();
  const idIn = (params: unknown) => valid(addressSchema, params, "address").id;

  routes.get("/plans", async (_request, response) => {
    response.json({ plans: await service.list() });
  });
  routes.post("/plans/preview", async (request, response) => {
    response.json(await service.preview(valid(planFactsSchema, request.body, "body")));
  });
  routes.get("/plans/:id", async (request, response) => {
    answerWritten(response, await service.text(idIn(request.params)));
  });
  routes.get("/plans/:id/specimens.csv", async (request, response) => {
    const table = await service.table(idIn(request.params));
    response.set("Content-Type", "text/csv; charset=utf-8; header=present");
    response.set("Content-Disposition", 'attachment; filename="specimens.csv"');
    response.send(bytesOf(table));
  });
  routes.put("/plans/:id", async (request, response) => {
    const facts = valid(planFactsSchema, request.body, "body");
    answerKept(response, await service.lay(idIn(request.params), facts), 201);
  });
  routes.post("/plans/:id/phase", async (request, response) => {
    const body = valid(phaseSchema, request.body, "body");
    answerKept(response, await service.phase(idIn(request.params), body.phase, body.by));
  });
  routes.post("/plans/:id/checks", async (request, response) => {
    const body = valid(checksSchema, request.body, "body");
    answerKept(response, await service.checked(idIn(request.params), body.block, body.done, body.by));
  });
  routes.get("/specimens/:code", async (request, response) => {
    const { grading } = valid(gradingSchema, request.query, "query");
    const { code } = valid(codeSchema, request.params, "address");
    response.json(await service.gradingSheet(code, grading === "2" ? 2 : 1));
  });
  routes.get("/specimens/:code/outcome", async (request, response) => {
    response.json(await service.outcome(valid(codeSchema, request.params, "address").code));
  });
  routes.post("/specimens/:code/again", async (request, response) => {
    answerKept(response, await service.again(valid(codeSchema, request.params, "address").code), 201);
  });
  routes.post("/entries", async (request, response) => {
    const { entries } = valid(sentEntriesSchema, request.body, "body");
    const { value, kept } = await service.enter(entries);
    answerKept(response, { value: { entries: value }, kept });
  });
  return routes;
}
