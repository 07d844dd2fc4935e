import { type Response, Router } from "express";
import { z } from "zod";
import type { AlarmDefinition, AlarmTransition, StandingAlarm, SuppressedAlarm } from "../../model/alarm.js";
import type { AlarmPerformanceView } from "../../model/alarm-performance.js";
import {
  byBodySchema,
  outOfServiceBodySchema,
  settingBodySchema,
  shelveBodySchema,
  toFileBodySchema,
} from "../../model/alarm-schema.js";
import type { AlarmSetting, AlarmSettingView, SettingHistoryEntry } from "../../model/alarm-setting.js";
import type { Kept } from "../../trials/kept.js";
import { answerKept } from "../answer.js";
import { valid, wholeNumber } from "../validate.js";

interface Told {
  readonly reason: string;
  readonly by: string;
}
interface Page {
  readonly before?: number;
  readonly limit: number;
}

/** What is done is done at once; whether it is kept is in the answer. Each throws an AppError where it cannot be done. */
export interface AlarmsService {
  standing(): readonly StandingAlarm[];
  suppressed(): readonly SuppressedAlarm[];
  definitions(): readonly AlarmDefinition[];
  log(query: Page): Promise<{
    transitions: readonly (AlarmTransition & { seq: number })[];
    more: boolean;
  }>;
  /** Acknowledges at once. @throws AppError `alarm-unknown`, `alarm-not-standing`, `alarm-already-acknowledged` */
  acknowledge(alarm: string, by: string): Promise<Kept<unknown>>;
  reset(alarm: string, by: string): Promise<Kept<unknown>>;
  shelve(alarm: string, told: Told & { readonly minutes: number }): Promise<Kept<unknown>>;
  unshelve(alarm: string, by: string): Promise<Kept<unknown>>;
  takeOutOfService(alarm: string, told: Told): Promise<Kept<unknown>>;
  putInService(alarm: string, by: string): Promise<Kept<unknown>>;
  view(alarm: string): AlarmSettingView;
  set(alarm: string, set: AlarmSetting, why: string, by: string): Promise<Kept<unknown>>;
  toFile(alarm: string, why: string, by: string): Promise<Kept<unknown>>;
  performance(days: number): Promise<AlarmPerformanceView>;
  history(
    alarm: string,
    query: Page,
  ): Promise<{ readonly history: readonly SettingHistoryEntry[]; readonly more: boolean }>;
}

export const acknowledgeSchema = byBodySchema;
const performanceSchema = z.strictObject({ days: wholeNumber(1, 90).default(30) });
const alarmIdSchema = z.object({ id: z.string().min(1).max(100) });
const logSchema = z.strictObject({
  before: wholeNumber(1, Number.MAX_SAFE_INTEGER).optional(),
  limit: wholeNumber(1, 200).default(50),
});

export function alarmRoutes(service: AlarmsService): Router {
  const routes = Router();
  const states = () => ({ standing: service.standing(), suppressed: service.suppressed() });
  const answer = (response: Response, { kept }: Kept<unknown>) =>
    answerKept(response, { value: states(), kept });
  const idOf = (params: unknown) => valid(alarmIdSchema, params, "address").id;
  const pageOf = (query: unknown): Page => {
    const { before, limit } = valid(logSchema, query, "query");
    return { limit, ...(before === undefined ? {} : { before }) };
  };

  routes.get("/alarms", (_request, response) => {
    response.json({ ...states(), definitions: service.definitions() });
  });
  routes.get("/alarms/log", async (request, response) => {
    response.json(await service.log(pageOf(request.query)));
  });
  routes.get("/alarms/performance", async (request, response) => {
    const { days } = valid(performanceSchema, request.query, "query");
    response.json(await service.performance(days));
  });
  routes.get("/alarms/:id/setting", (request, response) => {
    response.json(service.view(idOf(request.params)));
  });
  routes.get("/alarms/:id/history", async (request, response) => {
    response.json(await service.history(idOf(request.params), pageOf(request.query)));
  });

  routes.post("/alarms/:id/acknowledge", async (request, response) => {
    const id = idOf(request.params);
    const { by } = valid(acknowledgeSchema, request.body ?? {}, "body");
    answer(response, await service.acknowledge(id, by));
  });
  routes.post("/alarms/:id/reset", async (request, response) => {
    const id = idOf(request.params);
    const { by } = valid(byBodySchema, request.body ?? {}, "body");
    answer(response, await service.reset(id, by));
  });
  routes.post("/alarms/:id/shelve", async (request, response) => {
    const id = idOf(request.params);
    answer(response, await service.shelve(id, valid(shelveBodySchema, request.body ?? {}, "body")));
  });
  routes.post("/alarms/:id/unshelve", async (request, response) => {
    const id = idOf(request.params);
    const { by } = valid(byBodySchema, request.body ?? {}, "body");
    answer(response, await service.unshelve(id, by));
  });
  routes.post("/alarms/:id/out-of-service", async (request, response) => {
    const id = idOf(request.params);
    const told = valid(outOfServiceBodySchema, request.body ?? {}, "body");
    answer(response, await service.takeOutOfService(id, told));
  });
  routes.post("/alarms/:id/in-service", async (request, response) => {
    const id = idOf(request.params);
    const { by } = valid(byBodySchema, request.body ?? {}, "body");
    answer(response, await service.putInService(id, by));
  });

  routes.put("/alarms/:id/setting", async (request, response) => {
    const id = idOf(request.params);
    const { set, why, by } = valid(settingBodySchema, request.body ?? {}, "body");
    // A field that is not there is left as it is.
    const given = Object.fromEntries(Object.entries(set).filter(([, value]) => value !== undefined));
    const { kept } = await service.set(id, given, why, by);
    answerKept(response, { value: service.view(id), kept });
  });
  routes.delete("/alarms/:id/setting", async (request, response) => {
    const id = idOf(request.params);
    const { why, by } = valid(toFileBodySchema, request.body ?? {}, "body");
    const { kept } = await service.toFile(id, why, by);
    answerKept(response, { value: service.view(id), kept });
  });
  return routes;
}
