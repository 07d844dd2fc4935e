import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import type { DecisionAnswer, SettingsSheet } from "../../model/decision.js";
import { decisionSchema, type EntryBody, sheetLineSchema } from "../../model/entry.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid } from "../validate.js";

export interface DecisionsService {
  find(plan: string): Promise<DecisionAnswer>;
  decided(
    plan: string,
    body: EntryBody<"decision">,
    by: string | null,
    entry?: string,
  ): Promise<Kept<unknown>>;
  sheet(lot: string): Promise<SettingsSheet>;
  onSheet(lot: string, body: EntryBody<"sheet">, by: string | null, entry?: string): Promise<Kept<unknown>>;
}

const planSchema = z.object({ id: z.uuid("the id of a plan") });
const lotSchema = z.object({ id: z.uuid("the id of a lot") });
/** The page gives the entry an id of its own, so that what is sent twice is kept once. */
const sent = { by: textSchema(40).nullable().default(null), entry: z.uuid().optional() };
const decidedSchema = decisionSchema.extend(sent);
const lineSchema = sheetLineSchema.extend(sent);

export function decisionRoutes(service: DecisionsService): Router {
  const routes = Router();
  routes.get("/plans/:id/decision", async (request, response) => {
    response.json(await service.find(valid(planSchema, request.params, "address").id));
  });
  routes.post("/plans/:id/decision", async (request, response) => {
    const { id } = valid(planSchema, request.params, "address");
    const { by, entry, ...body } = valid(decidedSchema, request.body, "body");
    const { kept } = await service.decided(id, body, by, entry);
    answerKept(response, { value: await service.find(id), kept }, 201);
  });
  routes.get("/lots/:id/sheet", async (request, response) => {
    response.json(await service.sheet(valid(lotSchema, request.params, "address").id));
  });
  routes.post("/lots/:id/sheet", async (request, response) => {
    const { id } = valid(lotSchema, request.params, "address");
    const { by, entry, ...body } = valid(lineSchema, request.body, "body");
    const { kept } = await service.onSheet(id, body, by, entry);
    answerKept(response, { value: await service.sheet(id), kept }, 201);
  });
  return routes;
}
