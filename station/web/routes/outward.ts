import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import type { OutwardView, WayTest } from "../../model/outward.js";
import { valid } from "../validate.js";

export interface OutwardService {
  view(): OutwardView;
  /** @throws AppError "way-unknown", "way-not-set-up", "way-test-running", "way-test-too-soon" */
  test(way: string, by: string): Promise<WayTest>;
}

const waySchema = z.object({ way: z.string().min(1).max(20) });
const testSchema = z.strictObject({ by: textSchema(40).min(1).default("a screen") });

export function outwardRoutes(service: OutwardService): Router {
  const routes = Router();
  routes.get("/outward", (_request, response) => {
    response.json(service.view());
  });
  routes.post("/outward/:way/test", async (request, response) => {
    const { way } = valid(waySchema, request.params, "address");
    const { by } = valid(testSchema, request.body ?? {}, "body");
    response.json(await service.test(way, by));
  });
  return routes;
}
