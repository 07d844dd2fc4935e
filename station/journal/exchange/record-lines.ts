import { z } from "zod";
import { faultsOf } from "../../faults.js";
import {
  ALARM_KINDS,
  ALARM_STATES,
  ALARM_TRANSITIONS,
  type AlarmTransition,
  PRIORITIES,
} from "../../model/alarm.js";
import type { ChannelDefinition } from "../../model/channel.js";
import type { ClockStep } from "../../model/instant.js";
import {
  CHANNEL_KINDS,
  type ChannelKind,
  CONDITIONS,
  type ConditionId,
  UNITS,
  type Unit,
} from "../../model/quantity.js";
import type { Run } from "../../model/run.js";
import { runSettingsSchema } from "../../model/run-schema.js";
import type { SessionStart } from "../protocol.js";
import { named, Refused } from "./refused.js";

/**
 * Runs and alarms without loss: a JSON object to a line. The first line says what the file is; a session comes before
 * what belongs to it, and is named there by its `start`.
 */

export const RECORDS_FORMAT = "workshop-station-records";
const VERSION = 1;

export interface CarriedRun {
  readonly session: string;
  readonly run: Run;
  /** The channels its stamp was made with; null where the journal did not know them. */
  readonly channels: readonly ChannelDefinition[] | null;
}

export interface CarriedAlarm {
  readonly session: string;
  readonly transition: AlarmTransition;
}

export interface CarriedClockStep {
  readonly session: string;
  readonly step: ClockStep;
}

export type RecordLine =
  | { readonly type: "session"; readonly session: SessionStart }
  | ({ readonly type: "clock" } & CarriedClockStep)
  | ({ readonly type: "run" } & CarriedRun)
  | ({ readonly type: "alarm" } & CarriedAlarm);

export function recordsHead(): string {
  return `${JSON.stringify({ format: RECORDS_FORMAT, version: VERSION })}\n`;
}

export function recordLine(record: RecordLine): string {
  return `${JSON.stringify(record)}\n`;
}

const words = <W extends string>(list: readonly W[]) => z.enum(list as readonly [W, ...W[]]);
const clockSchema = words(["synchronised", "not synchronised", "unknown"]);
const unitSchema = words(Object.keys(UNITS) as Unit[]);
const kindSchema = words(Object.keys(CHANNEL_KINDS) as ChannelKind[]);
const causeSchema = words(["screen", "foot-switch", "laser-on"]);
const endSchema = words([
  "screen",
  "foot-switch",
  "laser-on",
  "power-lost",
  "station-failed",
  "station-stopped",
]);
const alarmStateSchema = words(ALARM_STATES);
const nameSchema = z.string().min(1).max(200);
const orNull = z.number().nullable();
const share = z.number().min(0).max(1);

const statisticsShape = {
  unit: unitSchema,
  known: z.boolean(),
  min: orNull,
  mean: orNull,
  sd: orNull.optional(),
  max: orNull,
  first: orNull,
  last: orNull,
  goodShare: share,
  uncertainShare: share,
  readings: z.int().min(0),
};

const stampSchema = z.strictObject({
  method: z.union([z.literal(1), z.literal(2)]),
  startWall: z.int(),
  startMono: z.int(),
  endWall: z.int(),
  endMono: z.int(),
  bootId: nameSchema,
  clockAtStart: clockSchema,
  clockAtEnd: clockSchema,
  coolantRange: z.strictObject({ low: z.number(), high: z.number() }),
  minGoodShare: share,
  opticsHours: orNull,
  readingsHeld: z.literal(true).optional(),
  channels: z.record(nameSchema, z.strictObject({ ...statisticsShape, name: z.string(), kind: kindSchema })),
  conditions: z.partialRecord(
    words(Object.keys(CONDITIONS) as ConditionId[]),
    z.strictObject(statisticsShape),
  ),
  flags: z.array(
    z.strictObject({
      flag: words([
        "coolant-out-of-range",
        "conditions-unknown",
        "interrupted",
        "extraction-stopped",
        "simulated",
      ]),
      text: z.string(),
      excursion: orNull,
      seconds: orNull,
    }),
  ),
  simulated: z.boolean(),
});

const runSchema = z
  .strictObject({
    id: nameSchema,
    number: z.int().min(1),
    cause: causeSchema,
    startWall: z.int(),
    startMono: z.int(),
    bootId: nameSchema,
    clockAtStart: clockSchema,
    settings: runSettingsSchema,
    simulated: z.boolean(),
    endWall: z.int().nullable(),
    endMono: z.int().nullable(),
    endCause: endSchema.nullable(),
    stamp: stampSchema.nullable(),
  })
  .refine(
    ({ endWall, endMono, endCause, stamp }) =>
      new Set([endWall, endMono, endCause, stamp].map((each) => each === null)).size === 1,
    "end, cause of the end and stamp together, or none of them",
  );

const definitionSchema = z.strictObject({
  id: nameSchema,
  name: z.string(),
  kind: kindSchema,
  unit: unitSchema,
  source: nameSchema,
  point: z.string().nullable(),
  calibration: z
    .union([
      z.strictObject({ offset: z.number() }),
      z.strictObject({ points: z.array(z.tuple([z.number(), z.number()])) }),
    ])
    .nullable(),
  valid: z.tuple([z.number(), z.number()]),
  resolution: z.number().positive(),
  expectedEveryS: z.number().positive(),
  staleAfterS: z.number().positive(),
  runningAt: orNull,
});

const lineSchema = z.discriminatedUnion("type", [
  z.strictObject({
    type: z.literal("session"),
    session: z.strictObject({
      start: nameSchema,
      bootId: nameSchema,
      at: z.strictObject({ wall: z.int(), mono: z.int() }),
      clock: clockSchema,
      version: z.string(),
      simulated: z.boolean(),
      configHash: z.string(),
    }),
  }),
  z.strictObject({
    type: z.literal("clock"),
    session: nameSchema,
    step: z.strictObject({
      at: z.strictObject({ wall: z.int(), mono: z.int() }),
      shiftMs: z.int(),
      before: clockSchema,
      after: clockSchema,
    }),
  }),
  z.strictObject({
    type: z.literal("run"),
    session: nameSchema,
    run: runSchema,
    channels: z.array(definitionSchema).nullable(),
  }),
  z.strictObject({
    type: z.literal("alarm"),
    session: nameSchema,
    transition: z.strictObject({
      id: nameSchema,
      alarm: nameSchema,
      kind: words(ALARM_KINDS),
      title: z.string(),
      priority: words(PRIORITIES),
      transition: words(ALARM_TRANSITIONS),
      from: alarmStateSchema,
      to: alarmStateSchema,
      wall: z.int(),
      mono: z.int(),
      detail: z.string(),
      run: z.string().nullable(),
      by: z.string().nullable(),
    }),
  }),
]);

const headSchema = z.strictObject({ format: z.literal(RECORDS_FORMAT), version: z.literal(VERSION) });

/** Checks the first line. @throws Refused */
export function checkRecordsHead(text: string): void {
  if (headSchema.safeParse(jsonOf(1, text)).success) return;
  throw new Refused(1, named(text), `{"format":"${RECORDS_FORMAT}","version":${VERSION}}`);
}

/** @throws Refused */
export function recordOfLine(line: number, text: string): RecordLine {
  const parsed = lineSchema.safeParse(jsonOf(line, text));
  if (parsed.success) return parsed.data as RecordLine;
  const [fault] = faultsOf(parsed.error);
  const path = fault?.path.map(String).join(".") ?? "";
  throw new Refused(
    line,
    `${named(text)}, not right at "${path}"`,
    fault?.expected ?? "a record of the station",
  );
}

function jsonOf(line: number, text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new Refused(line, named(text), "a JSON object");
  }
}
