import { Router } from "express";
import { z } from "zod";
import { idSchema } from "../../model/channel.js";
import type { NowSnapshot, OpticsView } from "../../model/now.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept, answerWritten } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

export interface NowService {
  snapshot(): NowSnapshot;
  /** A `Series` as JSON in UTF-8. */
  series(query: { channel: string; from: number; to: number; buckets: number }): Promise<Uint8Array>;
  /** Marks the optics as cleaned now. */
  opticsCleaned(): Promise<Kept<OpticsView>>;
}

const LAST_INSTANT = 8_640_000_000_000_000;
const seriesSchema = z
  .strictObject({
    channel: idSchema,
    from: wholeNumber(0, LAST_INSTANT),
    to: wholeNumber(0, LAST_INSTANT),
    buckets: wholeNumber(1, 2000).default(300),
  })
  .refine(({ from, to }) => from < to, { path: ["to"], message: "a moment later than `from`" });

export function nowRoutes(service: NowService): Router {
  const routes = Router();
  routes.get("/now", (_request, response) => {
    response.json(service.snapshot());
  });
  routes.get("/series", async (request, response) => {
    answerWritten(response, await service.series(valid(seriesSchema, request.query, "query")));
  });
  routes.post("/optics/cleaned", async (_request, response) => {
    answerKept(response, await service.opticsCleaned());
  });
  return routes;
}
