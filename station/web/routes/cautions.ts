import { Router } from "express";
import { z } from "zod";
import {
  type Caution,
  CHECKLIST_IDS,
  type CheckList,
  type CheckListId,
  type CheckListNow,
  type ExposureLimit,
  type NeverCut,
} from "../../model/caution.js";
import { textSchema } from "../../model/channel.js";
import type { EmergencyFacts } from "../../model/emergency.js";
import { emergencySchema } from "../../model/emergency-schema.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid } from "../validate.js";

export interface CautionsService {
  readonly cautions: readonly Caution[];
  readonly statement: { readonly short: string; readonly long: readonly string[] };
  readonly neverCut: readonly NeverCut[];
  readonly limits: readonly ExposureLimit[];
  readonly checklists: Readonly<Record<CheckListId, CheckList>>;
  readonly emergency: {
    facts(): Promise<EmergencyFacts>;
    put(next: EmergencyFacts, by: string | null): Promise<Kept<EmergencyFacts>>;
  };
  /** @throws AppError `request-invalid` where something on the list was not looked at */
  checked(id: CheckListId, items: readonly string[], by: string | null): Promise<Kept<CheckListNow>>;
}

const by = textSchema(40).nullable().default(null);
const putSchema = z.strictObject({ facts: emergencySchema, by });
const listSchema = z.object({ id: z.enum(CHECKLIST_IDS) });
const doneSchema = z.strictObject({ items: z.array(textSchema(40)).max(20), by });

export function cautionRoutes(service: CautionsService): Router {
  const routes = Router();
  const { statement, cautions, neverCut, limits, checklists } = service;
  routes.get("/cautions", (_request, response) => {
    response.json({ statement, cautions, neverCut, limits, checklists: Object.values(checklists) });
  });
  routes.get("/emergency", async (_request, response) => {
    response.json(await service.emergency.facts());
  });
  routes.put("/emergency", async (request, response) => {
    const { facts, by } = valid(putSchema, request.body, "body");
    answerKept(response, await service.emergency.put(facts, by));
  });
  routes.post("/checklists/:id", async (request, response) => {
    const { id } = valid(listSchema, request.params, "address");
    const { items, by } = valid(doneSchema, request.body, "body");
    answerKept(response, await service.checked(id, items, by), 201);
  });
  return routes;
}
