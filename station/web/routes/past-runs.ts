import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import type { KeptEntry } from "../../model/entry.js";
import type { PastImport } from "../../model/past-run.js";
import { PAST_COLUMNS } from "../../trials/past/columns.js";
import { textOf } from "../../trials/past/text.js";
import { valid, wholeNumber } from "../validate.js";

export interface PastRunsService {
  /** The newest, newest first, and how many there are. */
  list(limit: number): Promise<{ readonly runs: readonly KeptEntry<"past">[]; readonly total: number }>;
  take(text: AsyncIterable<string>, dry: boolean, by: string | null): Promise<PastImport>;
}

const MOST_BYTES = 8e6;
const querySchema = z.strictObject({
  dry: z.enum(["true", "false"]).default("true"),
  by: textSchema(40).optional(),
});

const listSchema = z.strictObject({ limit: wholeNumber(1, 1000).default(200) });

/** Past runs from a spreadsheet: tried first (`dry`, which it is unless said otherwise), and then taken in. */
export function pastRunRoutes(service: PastRunsService): Router {
  const routes = Router();
  routes.get("/past-runs", async (request, response) => {
    response.json(await service.list(valid(listSchema, request.query, "query").limit));
  });
  routes.get("/past-runs/columns", (_request, response) => {
    response.json({ columns: PAST_COLUMNS });
  });
  routes.post("/past-runs", async (request, response) => {
    const { dry, by = null } = valid(querySchema, request.query, "query");
    const body = request.iterator({ destroyOnReturn: false });
    response.json(await service.take(textOf(body, MOST_BYTES), dry === "true", by));
  });
  return routes;
}
