import { type Response, Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import { valid } from "../validate.js";

/** Answers in JSON, UTF-8, as the reading thread has written them. */
export interface ReviewService {
  /** A `ReviewOverview`. */
  overview(): Promise<Uint8Array>;
  /** A `BadRunView`. */
  badRun(id: string): Promise<Uint8Array>;
  /** A `MaterialsView`. */
  materials(first: string, second: string): Promise<Uint8Array>;
  /** A `DriftView`. */
  drift(reference: string): Promise<Uint8Array>;
}

/** As long as the name of a stock can be: product, thickness, supplier and lot. */
const stock = textSchema(300).min(1, "the name of a stock");
const runSchema = z.object({ id: z.uuid("the id of a run") });
const materialsSchema = z.strictObject({ first: stock, second: stock });
const driftSchema = z.strictObject({ reference: stock });
const nothingSchema = z.strictObject({});

export function reviewRoutes(service: ReviewService): Router {
  const routes = Router();
  routes.get("/review", async (request, response) => {
    valid(nothingSchema, request.query, "query");
    sendJson(response, await service.overview());
  });
  routes.get("/review/runs/:id", async (request, response) => {
    sendJson(response, await service.badRun(valid(runSchema, request.params, "address").id));
  });
  routes.get("/review/materials", async (request, response) => {
    const { first, second } = valid(materialsSchema, request.query, "query");
    sendJson(response, await service.materials(first, second));
  });
  routes.get("/review/drift", async (request, response) => {
    sendJson(response, await service.drift(valid(driftSchema, request.query, "query").reference));
  });
  return routes;
}

function sendJson(response: Response, { buffer, byteOffset, byteLength }: Uint8Array): void {
  // Without copying.
  response.type("application/json").send(Buffer.from(buffer, byteOffset, byteLength));
}
