import { Router } from "express";
import { z } from "zod";
import type { AlarmDefinition, AlarmTransition, StandingAlarm } from "../../model/alarm.js";
import { textSchema } from "../../model/channel.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

export interface AlarmsService {
  standing(): readonly StandingAlarm[];
  definitions(): readonly AlarmDefinition[];
  log(query: { before?: number; limit: number }): Promise<{
    transitions: readonly (AlarmTransition & { seq: number })[];
    more: boolean;
  }>;
  /** Acknowledges at once. @throws AppError `alarm-unknown`, `alarm-not-standing`, `alarm-already-acknowledged` */
  acknowledge(alarm: string, by: string): Promise<Kept<unknown>>;
}

export const acknowledgeSchema = z.strictObject({ by: textSchema(40).min(1).default("a screen") });
const alarmIdSchema = z.object({ id: z.string().min(1).max(100) });
const logSchema = z.strictObject({
  before: wholeNumber(1, Number.MAX_SAFE_INTEGER).optional(),
  limit: wholeNumber(1, 200).default(50),
});

export function alarmRoutes(service: AlarmsService): Router {
  const routes = Router();
  routes.get("/alarms", (_request, response) => {
    response.json({ standing: service.standing(), definitions: service.definitions() });
  });
  routes.get("/alarms/log", async (request, response) => {
    const { before, limit } = valid(logSchema, request.query, "query");
    response.json(await service.log({ limit, ...(before === undefined ? {} : { before }) }));
  });
  routes.post("/alarms/:id/acknowledge", async (request, response) => {
    const { id } = valid(alarmIdSchema, request.params, "address");
    const { by } = valid(acknowledgeSchema, request.body ?? {}, "body");
    const { kept } = await service.acknowledge(id, by);
    answerKept(response, { value: { standing: service.standing() }, kept });
  });
  return routes;
}
