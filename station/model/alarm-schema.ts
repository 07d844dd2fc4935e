import { z } from "zod";
import { LONGEST_SHELF_MIN, PRIORITIES } from "./alarm.js";
import {
  LONGEST_DELAY_S,
  LONGEST_RE_ALARM_MIN,
  LONGEST_RESPONSE_S,
  SETTING_FIELDS,
} from "./alarm-setting.js";
import { textSchema } from "./channel.js";

const LONGEST_SHELF = Math.max(...Object.values(LONGEST_SHELF_MIN));

const byShape = { by: textSchema(40).min(1).default("a screen") };
/** Long enough to be one, and short enough to be read. */
const whySchema = textSchema(300).trim().min(3);
const wordsSchema = textSchema(400).trim().min(3);
const delaySchema = z.number().min(0).max(LONGEST_DELAY_S);

/** Ranges of single kinds of alarms are looked at where they are known. */
export const alarmSettingSchema = z.strictObject({
  setpoint: z.number().optional(),
  deadband: z.number().min(0).optional(),
  onDelayS: delaySchema.optional(),
  offDelayS: delaySchema.optional(),
  priority: z.enum(PRIORITIES).optional(),
  latching: z.boolean().optional(),
  reAlarmMin: z.number().min(1).max(LONGEST_RE_ALARM_MIN).nullable().optional(),
  respondWithinS: z.number().min(1).max(LONGEST_RESPONSE_S).optional(),
  cause: wordsSchema.optional(),
  consequence: wordsSchema.optional(),
  action: wordsSchema.optional(),
});

export const byBodySchema = z.strictObject(byShape);
export const shelveBodySchema = z.strictObject({
  minutes: z.number().min(1).max(LONGEST_SHELF),
  reason: whySchema,
  ...byShape,
});
export const outOfServiceBodySchema = z.strictObject({ reason: whySchema, ...byShape });
export const settingBodySchema = z.strictObject({ set: alarmSettingSchema, why: whySchema, ...byShape });
export const toFileBodySchema = z.strictObject({ why: whySchema, ...byShape });

const fieldValue = z.union([z.string(), z.number(), z.boolean(), z.null()]);
/** As the journal has kept it. */
export const keptAlarmSettingSchema = z.object({
  set: alarmSettingSchema,
  why: z.string(),
  changes: z.array(z.object({ field: z.enum(SETTING_FIELDS), from: fieldValue, to: fieldValue })),
});
export const keptShelfSchema = z.object({
  minutes: z.number().positive().max(LONGEST_SHELF),
  reason: z.string(),
  by: z.string(),
  wall: z.number(),
  clock: z.string(),
  leftMs: z.number().max(LONGEST_SHELF * 60_000),
  mono: z.number(),
  bootId: z.string(),
});
export const keptOutOfServiceSchema = z.object({ reason: z.string(), by: z.string(), wall: z.number() });
