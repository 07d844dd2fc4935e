import { Router } from "express";
import { z } from "zod";
import { AppError } from "../../errors.js";
import { idSchema } from "../../model/channel.js";
import type { RunRow, Series } from "../../model/now.js";
import type { PlacedRun, Run, RunSettings } from "../../model/run.js";
import { runSettingsSchema } from "../../model/run-schema.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

export interface RunsService {
  list(query: {
    before?: number;
    limit: number;
    flaggedOnly: boolean;
  }): Promise<{ runs: readonly RunRow[]; more: boolean }>;
  find(id: string): Promise<PlacedRun | null>;
  series(run: PlacedRun, channel: string, buckets: number): Promise<Series>;
  begin(settings: RunSettings | null): Promise<Kept<Run>>;
  end(id: string): Promise<Kept<Run>>;
  correct(id: string, settings: RunSettings): Promise<Kept<Run>>;
  setJobSheet(settings: RunSettings): Promise<Kept<RunSettings>>;
}

const runIdSchema = z.object({ id: z.uuid("the id of a run") });
const listSchema = z.strictObject({
  before: wholeNumber(1, Number.MAX_SAFE_INTEGER).optional(),
  limit: wholeNumber(1, 200).default(50),
  flagged: z.enum(["true", "false"]).default("false"),
});
const beginSchema = z.strictObject({ settings: runSettingsSchema.optional() });
const seriesSchema = z.strictObject({ channel: idSchema, buckets: wholeNumber(1, 2000).default(300) });

/** Fills in what is left out of a run's record, never of its conditions. */
export function runRoutes(service: RunsService): Router {
  const routes = Router();

  routes.get("/runs", async (request, response) => {
    const { before, limit, flagged } = valid(listSchema, request.query, "query");
    const query = { limit, flaggedOnly: flagged === "true", ...(before === undefined ? {} : { before }) };
    response.json(await service.list(query));
  });
  routes.post("/runs", async (request, response) => {
    const { settings } = valid(beginSchema, request.body ?? {}, "body");
    answerKept(response, await service.begin(settings ?? null), 201);
  });
  routes.get("/runs/:id", async (request, response) => {
    response.json(await found(service, request.params));
  });
  routes.get("/runs/:id/series", async (request, response) => {
    const run = await found(service, request.params);
    const { channel, buckets } = valid(seriesSchema, request.query, "query");
    response.json(await service.series(run, channel, buckets));
  });
  routes.post("/runs/:id/end", async (request, response) => {
    answerKept(response, await service.end(valid(runIdSchema, request.params, "address").id));
  });
  routes.patch("/runs/:id/settings", async (request, response) => {
    const { id } = valid(runIdSchema, request.params, "address");
    answerKept(response, await service.correct(id, valid(runSettingsSchema, request.body, "body")));
  });
  routes.put("/job-sheet", async (request, response) => {
    answerKept(response, await service.setJobSheet(valid(runSettingsSchema, request.body, "body")));
  });
  return routes;
}

async function found(service: RunsService, params: unknown): Promise<PlacedRun> {
  const run = await service.find(valid(runIdSchema, params, "address").id);
  if (run === null) throw new AppError("run-unknown", "No run has this id: it may be from another journal.");
  return run;
}
