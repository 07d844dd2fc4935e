import { Router } from "express";
import { z } from "zod";
import type { AfterCut } from "../../model/after-cut.js";
import { textSchema } from "../../model/channel.js";
import type { ForecastRecord, JobForecast } from "../../model/coolant-forecast.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

export interface ProcessService {
  /** Null where no coolant is measured. */
  forecasts(days: number): Promise<ForecastRecord | null>;
  /** @param minutes 1 to 60 */
  job(minutes: number): JobForecast;
  /** @throws AppError `fire-watch-none` */
  look(by: string | null): Promise<Kept<AfterCut>>;
  begin(by: string | null): Promise<Kept<AfterCut>>;
}

const jobSchema = z.strictObject({ minutes: wholeNumber(1, 60) });
const daysSchema = z.strictObject({ days: wholeNumber(1, 7).default(3) });
const bySchema = z.strictObject({ by: textSchema(40).nullable().default(null) });

export function processRoutes(service: ProcessService): Router {
  const routes = Router();
  routes.get("/coolant/job", (request, response) => {
    response.json(service.job(valid(jobSchema, request.query, "query").minutes));
  });
  routes.get("/coolant/forecasts", async (request, response) => {
    const { days } = valid(daysSchema, request.query, "query");
    response.json({ record: await service.forecasts(days) });
  });
  routes.post("/fire-watch/looks", async (request, response) => {
    answerKept(response, await service.look(valid(bySchema, request.body, "body").by), 201);
  });
  routes.post("/fire-watch", async (request, response) => {
    answerKept(response, await service.begin(valid(bySchema, request.body, "body").by), 201);
  });
  return routes;
}
