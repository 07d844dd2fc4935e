import { Router } from "express";
import { z } from "zod";
import { BATHS } from "../../model/calibration-view.js";
import { idSchema, textSchema } from "../../model/channel.js";
import { CHANNEL_KINDS, type ChannelKind } from "../../model/quantity.js";
import type { Setup } from "../../setup/setup.js";
import { BIASES } from "../../sources/gpio/line.js";
import { valid } from "../validate.js";

export type SetupService = Omit<Setup, "heard" | "close">;

const MOST_LINES = 8;
const keySchema = z.string().min(1).max(400);
const nameSchema = z.uuid("an id of its own");
const kinds = Object.keys(CHANNEL_KINDS) as [ChannelKind, ...ChannelKind[]];

/** "pinctrl-bcm2711:17,pinctrl-bcm2711:22" */
const linesSchema = z
  .string()
  .max(800)
  .regex(
    /^$|^[\w.:@-]{1,60}:\d{1,4}(,[\w.:@-]{1,60}:\d{1,4})*$/,
    "a chip's label, a colon and a line's number",
  )
  .default("")
  .transform((text) =>
    text === ""
      ? []
      : text.split(",").map((each) => {
          const colon = each.lastIndexOf(":");
          return { chip: each.slice(0, colon), line: Number(each.slice(colon + 1)) };
        }),
  )
  .refine((lines) => lines.length <= MOST_LINES, `at most ${MOST_LINES} lines at once`);
const at = { lines: linesSchema, bias: z.enum(BIASES).nullable().default(null) };
const lookSchema = z.object(at);
const valuesSchema = z.object({ ...at, page: nameSchema, touch: nameSchema.nullable().default(null) });

const rangeTemperature = z.number().min(-20).max(80);
const changeSchema = z.discriminatedUnion("act", [
  z.strictObject({
    act: z.literal("give"),
    key: keySchema,
    point: z.string().min(1).max(80),
    kind: z.enum(kinds),
    name: textSchema(60).min(1, "a name"),
    activeLow: z.boolean(),
    first: z
      .strictObject({ name: textSchema(60).min(1, "a name"), low: rangeTemperature, high: rangeTemperature })
      .refine(({ low, high }) => low < high, { message: "more than the lower end", path: ["high"] })
      .nullable(),
  }),
  z.strictObject({ act: z.literal("take"), channel: idSchema }),
  z.strictObject({ act: z.literal("calibrate"), channel: idSchema }),
]);
const hashSchema = z.string().min(1).max(64);
const writeSchema = z.strictObject({ change: changeSchema, hash: hashSchema, ...at });
const backSchema = z.strictObject({ hash: hashSchema });
const listenSchema = z.strictObject({ key: keySchema });

const bathTemperature = z.number().min(-20).max(100);
const truthSchema = z.discriminatedUnion("by", [
  z.strictObject({ by: z.literal("ice") }),
  z.strictObject({ by: z.literal("limits"), truth: bathTemperature, within: z.number().min(0.001).max(5) }),
  z.strictObject({
    by: z.literal("certificate"),
    truth: bathTemperature,
    expanded: z.number().min(0.001).max(5),
    coverage: z.number().min(1).max(4),
  }),
]);
const pointSchema = z.strictObject({ channel: idSchema, bath: z.enum(BATHS) });
const takenPointSchema = pointSchema.extend({ truth: truthSchema });

export function setupRoutes(service: SetupService): Router {
  const routes = Router();
  routes.get("/setup", async (request, response) => {
    response.json(await service.view(valid(lookSchema, request.query, "query")));
  });
  // Asked once a second, and only while a page looks: so no question that would be kept as a deed.
  routes.get("/setup/values", async (request, response) => {
    const { page, touch, ...look } = valid(valuesSchema, request.query, "query");
    response.json(await service.values(page, look, touch));
  });
  routes.post("/setup/listen", async (request, response) => {
    response.json(await service.listen(valid(listenSchema, request.body, "body").key));
  });
  routes.post("/setup/preview", async (request, response) => {
    const { change, hash, ...look } = valid(writeSchema, request.body, "body");
    response.json(await service.preview(change, look, hash));
  });
  routes.put("/setup/file", async (request, response) => {
    const { change, hash, ...look } = valid(writeSchema, request.body, "body");
    response.json(await service.write(change, look, hash));
  });
  routes.post("/setup/back", async (request, response) => {
    response.json(await service.back(valid(backSchema, request.body, "body").hash));
  });
  routes.get("/setup/thermometers", async (_request, response) => {
    response.json(await service.thermometers());
  });
  routes.put("/setup/points", async (request, response) => {
    const { channel, bath, truth } = valid(takenPointSchema, request.body, "body");
    response.json(await service.takePoint(channel, bath, truth));
  });
  routes.post("/setup/points/forget", async (request, response) => {
    const { channel, bath } = valid(pointSchema, request.body, "body");
    response.json(await service.forgetPoint(channel, bath));
  });
  routes.post("/setup/restart", (_request, response) => {
    service.restart();
    response.status(202).json({});
  });
  return routes;
}
