import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import type { LotFacts, LotView } from "../../model/lot.js";
import { lotFactsSchema } from "../../model/lot-schema.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid } from "../validate.js";

export interface LotsService {
  list(): Promise<readonly LotView[]>;
  find(id: string): Promise<LotView>;
  put(id: string, facts: LotFacts, by: string | null): Promise<Kept<{ readonly id: string }>>;
}

const addressSchema = z.object({ id: z.uuid("the id of a lot") });
const putSchema = z.strictObject({ facts: lotFactsSchema, by: textSchema(40).nullable().default(null) });

export function lotRoutes(service: LotsService): Router {
  const routes = Router();
  routes.get("/lots", async (_request, response) => {
    response.json({ lots: await service.list() });
  });
  routes.get("/lots/:id", async (request, response) => {
    response.json(await service.find(valid(addressSchema, request.params, "address").id));
  });
  routes.put("/lots/:id", async (request, response) => {
    const { id } = valid(addressSchema, request.params, "address");
    const { facts, by } = valid(putSchema, request.body, "body");
    answerKept(response, await service.put(id, facts, by));
  });
  return routes;
}
