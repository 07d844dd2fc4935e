import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Response, Router } from "express";

export interface TablesService {
  /** Tables for a spreadsheet, as CSV (RFC 4180), in pieces, from the reading side of the journal. */
  runs(): AsyncIterable<string>;
  alarms(): AsyncIterable<string>;
}

/** The first pieces are there before the answer begins, so that what cannot be read is refused and not cut short. */
async function sendTable(response: Response, name: string, pieces: AsyncIterable<string>): Promise<void> {
  const iterator = pieces[Symbol.asyncIterator]();
  const first = await iterator.next();
  response.set("Content-Type", "text/csv; charset=utf-8; header=present");
  response.set("Content-Disposition", `attachment; filename="${name}"`);
  const rest = { [Symbol.asyncIterator]: () => iterator };
  const all = (async function* () {
    if (first.done !== true) yield first.value;
    yield* rest;
  })();
  try {
    await pipeline(Readable.from(all, { highWaterMark: 16 }), response);
  } catch (error) {
    // Whoever asked has gone, or what was begun cannot be gone on with: the connection is cut, so that the file is seen to be
    // broken off.
    if (!response.destroyed) throw error;
  }
}

export function tableRoutes(service: TablesService): Router {
  const routes = Router();
  routes.get("/tables/runs.csv", (_request, response) => sendTable(response, "runs.csv", service.runs()));
  routes.get("/tables/alarms.csv", (_request, response) =>
    sendTable(response, "alarms.csv", service.alarms()),
  );
  return routes;
}
