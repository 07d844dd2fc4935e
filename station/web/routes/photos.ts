import { Router } from "express";
import { z } from "zod";
import { textSchema } from "../../model/channel.js";
import type { LightnessAsked, MeasuredAreas } from "../../model/lightness.js";
import { lightnessSchema } from "../../model/lightness-schema.js";
import type { PhotoRow } from "../../model/photo.js";
import type { Kept } from "../../trials/kept.js";
import type { SentPhoto } from "../../trials/photos/record.js";
import { answerKept } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

export interface PhotosService {
  add(photo: SentPhoto, body: AsyncIterable<Uint8Array>): Promise<Kept<PhotoRow>>;
  /** The file of a photo that is kept. @throws AppError `photo-unknown` */
  find(sha256: string, size: "full" | "small"): Promise<{ readonly file: string }>;
  /** How light areas of a photo are, after the grey card in it. */
  lightness(sha256: string, asked: LightnessAsked): Promise<MeasuredAreas>;
}

const LAST_INSTANT = 8_640_000_000_000_000;
const sentSchema = z.strictObject({
  entry: z.uuid(),
  subject: z.union(
    [z.uuid(), z.string().regex(/^[A-Z0-9]{5}$/)],
    "the code of a specimen or the id of a lot",
  ),
  note: textSchema(200).default(""),
  enteredWall: wholeNumber(0, LAST_INSTANT).optional(),
  by: textSchema(40).optional(),
});
const SUM_LENGTH = 64;
const NAME = /^([0-9a-f]{64})(-small)?\.jpg$/;
const nameSchema = z.object({ name: z.string().regex(NAME, "64 hexadecimal digits and .jpg") });

export function photoRoutes(service: PhotosService): Router {
  const routes = Router();
  routes.post("/photos", async (request, response) => {
    const { entry, subject, note, enteredWall = null, by = null } = valid(sentSchema, request.query, "query");
    // What is refused before it has all come is answered all the same.
    const body = request.iterator({ destroyOnReturn: false });
    answerKept(response, await service.add({ entry, subject, note, enteredWall, by }, body), 201);
  });
  routes.get("/photos/:name", async (request, response) => {
    const { name } = valid(nameSchema, request.params, "address");
    const [, sha256, small] = NAME.exec(name) as unknown as [string, string, string | undefined];
    const { file } = await service.find(sha256, small === undefined ? "full" : "small");
    // What has this name has these bytes, for ever.
    response.set("Cache-Control", "private, max-age=31536000, immutable");
    response.type("image/jpeg");
    response.sendFile(file, { cacheControl: false, dotfiles: "allow" });
  });
  routes.post("/photos/:name/lightness", async (request, response) => {
    const { name } = valid(nameSchema, request.params, "address");
    const asked = valid(lightnessSchema, request.body, "body");
    response.json(await service.lightness(name.slice(0, SUM_LENGTH), asked));
  });
  return routes;
}
