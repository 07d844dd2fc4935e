import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import {
  MAINTENANCE_KINDS,
  type MaintenanceKind,
  type MaintenanceView,
  type Upkeep,
} from "../../model/maintenance.js";
import {
  type FocusView,
  type LotFocus,
  type WorkshopFacts,
  workshopFactsSchema,
} from "../../model/workshop.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid } from "../validate.js";

export interface WorkshopService {
  view(): Promise<{ readonly facts: WorkshopFacts; readonly focus: FocusView | null }>;
  put(facts: WorkshopFacts, by: string | null): Promise<Kept<WorkshopFacts>>;
  focusFor(lots: readonly string[]): Promise<readonly LotFocus[]>;
  maintenance(): Promise<MaintenanceView>;
  maintained(kind: MaintenanceKind, note: string): Promise<Kept<unknown>>;
  /** Before a run. */
  upkeepOf(run: string): Promise<readonly Upkeep[]>;
}

const putSchema = z.strictObject({ facts: workshopFactsSchema, by: textSchema(40).nullable().default(null) });
const focusSchema = z.strictObject({
  lots: z
    .string()
    .transform((text) => text.split(","))
    .pipe(z.array(z.uuid("ids of lots")).min(1).max(4)),
});
const doneSchema = z.strictObject({ kind: z.enum(MAINTENANCE_KINDS), note: textSchema(200).default("") });
const runSchema = z.object({ id: z.uuid("the id of a run") });

export function workshopRoutes(service: WorkshopService): Router {
  const routes = Router();
  routes.get("/workshop", async (_request, response) => {
    response.json(await service.view());
  });
  routes.put("/workshop", async (request, response) => {
    const { facts, by } = valid(putSchema, request.body, "body");
    answerKept(response, await service.put(facts, by));
  });
  routes.get("/focus", async (request, response) => {
    response.json({ lots: await service.focusFor(valid(focusSchema, request.query, "query").lots) });
  });
  routes.get("/maintenance", async (_request, response) => {
    response.json(await service.maintenance());
  });
  routes.post("/maintenance", async (request, response) => {
    const { kind, note } = valid(doneSchema, request.body, "body");
    answerKept(response, await service.maintained(kind, note), 201);
  });
  routes.get("/runs/:id/upkeep", async (request, response) => {
    response.json({ upkeep: await service.upkeepOf(valid(runSchema, request.params, "address").id) });
  });
  return routes;
}
