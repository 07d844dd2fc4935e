import { Router } from "express";
import { z } from "zod";
import type { JournalSpan, Marks } from "../../model/marks.js";
import { valid, wholeNumber } from "../validate.js";

export interface MarksService {
  marks(query: { from: number; to: number; limit: number }): Promise<Marks>;
  span(): Promise<JournalSpan>;
}

const LAST_INSTANT = 8_640_000_000_000_000;
const marksSchema = z
  .strictObject({
    from: wholeNumber(0, LAST_INSTANT),
    to: wholeNumber(0, LAST_INSTANT),
    limit: wholeNumber(1, 1000).default(300),
  })
  .refine(({ from, to }) => from < to, { path: ["to"], message: "a moment later than `from`" });
const spanSchema = z.strictObject({});

/** What happened in a window of time, and how far back the journal reaches. */
export function markRoutes(service: MarksService): Router {
  const routes = Router();
  routes.get("/marks", async (request, response) => {
    response.json(await service.marks(valid(marksSchema, request.query, "query")));
  });
  routes.get("/span", async (request, response) => {
    valid(spanSchema, request.query, "query");
    response.json(await service.span());
  });
  return routes;
}
