import { type Request, type Response, Router } from "express";
import { z } from "zod";
import { backupName } from "../../journal/backup/folder.js";
import type { Downloads } from "../../journal/exchange/downloads.js";
import type { ReadingsFormat, ReadingsQuery } from "../../journal/exchange/export-readings.js";
import { idSchema } from "../../model/channel.js";
import type { SoundnessView } from "../../model/soundness.js";
import { sendDownload } from "../send-download.js";
import { valid, wholeNumber } from "../validate.js";

export interface ExportsService extends Pick<Downloads, "readings" | "journal" | "view"> {
  /** Wall milliseconds now. */
  wall(): number;
  soundness(): SoundnessView["state"];
}

/**
 * RFC 4180 for CSV. A file of SenML has a Pack to a line, and only a single Pack may be called application/senml+json
 * (RFC 8428 section 12.3.1).
 */
const TYPES: Readonly<Record<ReadingsFormat, string>> = {
  csv: "text/csv; charset=utf-8; header=present",
  senml: "application/x-ndjson",
};
/** Registered with IANA. */
const SQLITE_TYPE = "application/vnd.sqlite3";

const LAST_INSTANT = 8_640_000_000_000_000;
const instant = wholeNumber(0, LAST_INSTANT).optional();
const readingsSchema = z
  .strictObject({
    from: instant,
    to: instant,
    channel: z.union([idSchema.transform((id) => [id]), z.array(idSchema).min(1)]).optional(),
  })
  .refine(({ from = 0, to = LAST_INSTANT + 1 }) => from < to, {
    path: ["to"],
    message: "a moment later than `from`",
  });
const nothingSchema = z.strictObject({});

/** A table has no room for a notice, and its name goes wherever it goes. */
const DOUBTS: Readonly<Record<SoundnessView["state"], string>> = {
  sound: "",
  // An export is made of readings alone.
  rollups: "",
  looking: "-unchecked",
  unknown: "-unchecked",
  damaged: "-damaged",
};

/** Times in names of files: ISO 8601 in its basic form, which has no colons. */
function nameOf(
  { from, to }: ReadingsQuery,
  format: ReadingsFormat,
  soundness: SoundnessView["state"],
): string {
  const basic = (wall: number | null) =>
    wall === null ? "" : `-${new Date(wall).toISOString().replace(/[-:]|\.\d+/g, "")}`;
  return `readings${basic(from)}${basic(to)}${DOUBTS[soundness]}.${format === "csv" ? "csv" : "senml.ndjson"}`;
}

export function exportRoutes(service: ExportsService): Router {
  const routes = Router();

  const readings = (format: ReadingsFormat) => async (request: Request, response: Response) => {
    const { from = null, to = null, channel = null } = valid(readingsSchema, request.query, "query");
    const query = { from, to, channels: channel };
    const sent = { name: nameOf(query, format, service.soundness()), type: TYPES[format] };
    await sendDownload(response, sent, await service.readings(query, format));
  };
  // Express would answer HEAD by doing all of GET, for an answer that nobody gets.
  routes.head(/^\/exports\//, (_request, response) => {
    response.set("Allow", "GET").status(405).end();
  });
  routes.get("/exports", (_request, response) => {
    response.json(service.view());
  });
  routes.get("/exports/readings.csv", readings("csv"));
  routes.get("/exports/readings.senml", readings("senml"));
  routes.get("/exports/journal.sqlite", async (request, response) => {
    valid(nothingSchema, request.query, "query");
    // The name of a backup, because it is as good as one.
    const sent = { name: backupName(service.wall()), type: SQLITE_TYPE };
    await sendDownload(response, sent, await service.journal());
  });
  return routes;
}
