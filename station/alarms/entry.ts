import { z } from "zod";
import { AppError } from "../errors.js";
import { ALARM_KINDS, type AlarmDefinition, type AlarmKind, PRIORITIES } from "../model/alarm.js";
import { LONGEST_DELAY_S, LONGEST_RE_ALARM_MIN } from "../model/alarm-setting.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ChannelKind } from "../model/quantity.js";
import { boardAlarmId, boardsOf } from "./board-rule.js";
import { type AlarmDefault, RE_ALARM_MIN } from "./default.js";
import { ALARM_DEFAULTS, deadSensorPriority } from "./definitions.js";
import { contradictions } from "./guard.js";
import { sensorAlarmId } from "./sensor-rule.js";

export interface AlarmOverride {
  readonly setpoint?: number | undefined;
  readonly deadband?: number | undefined;
  readonly on_delay_s?: number | undefined;
  readonly off_delay_s?: number | undefined;
  readonly priority?: AlarmDefinition["priority"] | undefined;
  readonly latching?: boolean | undefined;
  /** Null: it does not sound again once it was acknowledged. */
  readonly re_alarm_min?: number | null | undefined;
  readonly enabled?: boolean | undefined;
}

const delay = z.number().min(0).max(LONGEST_DELAY_S).optional();

/** The least flow has a setting of its own, because it is the tube's and not the alarm's. */
const SETPOINT_ELSEWHERE: readonly AlarmKind[] = ["coolant-flow-lost"];

function overrideSchema(kind: AlarmKind): z.ZodType<AlarmOverride> {
  const { setpointRange, deadbandMost } = ALARM_DEFAULTS[kind];
  const [least, most] = setpointRange ?? [0, 0];
  return z.strictObject({
    on_delay_s: delay,
    off_delay_s: delay,
    priority: z.enum(PRIORITIES).optional(),
    latching: z.boolean().optional(),
    re_alarm_min: z.number().min(1).max(LONGEST_RE_ALARM_MIN).nullable().optional(),
    enabled: z.boolean().optional(),
    ...(deadbandMost === null ? {} : { deadband: z.number().min(0).max(deadbandMost).optional() }),
    ...(setpointRange === null || SETPOINT_ELSEWHERE.includes(kind)
      ? {}
      : { setpoint: z.number().min(least).max(most).optional() }),
  }) as z.ZodType<AlarmOverride>;
}

type Overrides = { readonly [K in AlarmKind]?: AlarmOverride | undefined };
type OverrideSchemas = { readonly [K in AlarmKind]: z.ZodOptional<ReturnType<typeof overrideSchema>> };
const schemas: Partial<Record<AlarmKind, OverrideSchemas[AlarmKind]>> = {};
for (const kind of ALARM_KINDS) schemas[kind] = overrideSchema(kind).optional();

/**
 * The `alarms:` section of station.yaml: what differs from the defaults, by kind. `sensor-dead` is for every channel, `board-silent`
 * for every source that several channels come from.
 */
export const alarmsEntrySchema = z.strictObject({
  ...(schemas as OverrideSchemas),
  /** The disk is filling up as well where it would last for fewer days than this. */
  disk_filling_days: z.number().min(0).max(3650).optional(),
  /** The least flow the tube's maker asks for, L/min. Without it a flow sensor raises its alarm at 0 only. */
  flow_low_l_min: z.number().positive().max(200).optional(),
});
export type AlarmsEntry = Overrides & {
  readonly disk_filling_days?: number | undefined;
  readonly flow_low_l_min?: number | undefined;
};

export interface CoolantRange {
  /** °C, low < high. */
  readonly low: number;
  readonly high: number;
}

export interface AlarmSubjects {
  /** Whether backups are set up; default false. */
  readonly backups?: boolean;
  readonly channels: readonly ChannelDefinition[];
  readonly coolantRange: CoolantRange;
}

/**
 * The alarms of this station: only those whose channels exist and that are not switched off.
 * Throws `config-invalid` where the entry contradicts itself or the channels.
 */
export function defineAlarms(entry: AlarmsEntry, subjects: AlarmSubjects): AlarmDefinition[] {
  const has = (kind: ChannelKind) => subjects.channels.some((channel) => channel.kind === kind);
  if (entry.flow_low_l_min !== undefined && !has("coolant-flow")) {
    throw invalid("flow_low_l_min", "no flow_low_l_min, or a channel of kind coolant-flow for it to watch");
  }
  const defined = ALARM_KINDS.filter((kind) => applies(kind, subjects)).flatMap((kind) =>
    kind === "sensor-dead"
      ? deadSensors(entry, subjects.channels)
      : kind === "board-silent"
        ? silentBoards(entry, subjects.channels)
        : define(kind, entry, subjects.coolantRange),
  );
  const [wrong] = contradictions(defined);
  if (wrong !== undefined) throw invalid(wrong.path, wrong.expected);
  return defined;
}

function applies(kind: AlarmKind, { channels, backups = false }: AlarmSubjects): boolean {
  if (kind === "backup-old") return backups;
  return ALARM_DEFAULTS[kind].needs.every((anyOf) =>
    channels.some((channel) => anyOf.includes(channel.kind)),
  );
}

function define(
  kind: Exclude<AlarmKind, "sensor-dead" | "board-silent">,
  entry: AlarmsEntry,
  range: CoolantRange,
): AlarmDefinition[] {
  const override = entry[kind] ?? {};
  const setpoint = override.setpoint ?? setpointOf(kind, entry, range);
  return settle({ ...ALARM_DEFAULTS[kind], id: kind, kind, setpoint }, override);
}

function deadSensors(entry: AlarmsEntry, channels: readonly ChannelDefinition[]): AlarmDefinition[] {
  const base = ALARM_DEFAULTS["sensor-dead"];
  return channels.flatMap((channel) =>
    settle(
      {
        ...base,
        id: sensorAlarmId(channel.id),
        kind: "sensor-dead",
        title: `${base.title}: ${channel.name}`,
        priority: deadSensorPriority(channel.kind),
      },
      entry["sensor-dead"] ?? {},
    ),
  );
}

/** Each as serious as the loss of the most important of its sensors. */
function silentBoards(entry: AlarmsEntry, channels: readonly ChannelDefinition[]): AlarmDefinition[] {
  return boardsOf(channels).flatMap((board) => {
    const priorities = channels
      .filter(({ source }) => source === board)
      .map(({ kind }) => PRIORITIES.indexOf(deadSensorPriority(kind)));
    const base = ALARM_DEFAULTS["board-silent"];
    return settle(
      {
        ...base,
        id: boardAlarmId(board),
        kind: "board-silent",
        title: `${base.title}: ${board}`,
        priority: PRIORITIES[Math.min(...priorities)] ?? base.priority,
      },
      entry["board-silent"] ?? {},
    );
  });
}

type Base = AlarmDefault & Pick<AlarmDefinition, "id" | "kind">;

function settle(base: Base, override: AlarmOverride): AlarmDefinition[] {
  if (override.enabled === false) return [];
  const { id, kind, title, group, setpoint, cause, consequence, action, respondWithinS, reason } = base;
  const numeric = setpoint !== null;
  const priority = override.priority ?? base.priority;
  const reAlarmMin = base.reAlarmMin === undefined ? RE_ALARM_MIN[priority] : base.reAlarmMin;
  return [
    {
      ...{ id, kind, title, group, priority, setpoint },
      deadband: numeric ? (override.deadband ?? base.deadband) : null,
      unit: numeric ? base.unit : null,
      onDelayS: override.on_delay_s ?? base.onDelayS,
      offDelayS: override.off_delay_s ?? base.offDelayS,
      latching: override.latching ?? base.latching,
      reAlarmMin: override.re_alarm_min === undefined ? reAlarmMin : override.re_alarm_min,
      ...{ cause, consequence, action, respondWithinS, reason },
    },
  ];
}

/** Those of the coolant come from the set range, and the least flow from the tube's maker. */
function setpointOf(kind: AlarmKind, entry: AlarmsEntry, range: CoolantRange): number | null {
  switch (kind) {
    case "coolant-high":
      return range.high;
    case "coolant-low":
      return range.low;
    case "coolant-flow-lost":
      return entry.flow_low_l_min ?? null;
    default:
      return ALARM_DEFAULTS[kind].setpoint;
  }
}

function invalid(path: string, expected: string): AppError {
  const full = `alarms.${path}`;
  return new AppError("config-invalid", `${full}: expected ${expected}.`, [{ path: full, expected }]);
}
