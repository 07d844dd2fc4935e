import { z } from "zod";
import { AppError } from "../errors.js";
import { ALARM_KINDS, type AlarmDefinition, type AlarmKind, PRIORITIES } from "../model/alarm.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { ChannelKind } from "../model/quantity.js";
import { boardAlarmId, boardsOf } from "./board-rule.js";
import {
  ALARM_DEFAULTS,
  BACKUP_OLD_SETPOINT,
  CONDENSATION_SETPOINT,
  DISK_FILLING_SETPOINT,
  DISK_NEARLY_FULL_SETPOINT,
  deadSensorPriority,
  isExtraction,
} from "./definitions.js";
import { COOLANT_RISING_SETPOINT, HEAT_NO_FLOW_SETPOINT } from "./process-definitions.js";
import { sensorAlarmId } from "./sensor-rule.js";

const delay = z.number().min(0).max(3600).optional();

const stateOverride = z.strictObject({
  on_delay_s: delay,
  off_delay_s: delay,
  priority: z.enum(PRIORITIES).optional(),
  enabled: z.boolean().optional(),
});

const deadband = z.number().min(0).max(50).optional();
const flowOverride = z.strictObject({ ...stateOverride.shape, deadband });
/** °C. */
const temperatureOverride = z.strictObject({
  ...flowOverride.shape,
  setpoint: z.number().min(-40).max(100).optional(),
});

/** °C/min. */
const rateOverride = z.strictObject({
  ...flowOverride.shape,
  setpoint: z.number().min(0.02).max(20).optional(),
});
/** °C between two places. */
const differenceOverride = z.strictObject({
  ...flowOverride.shape,
  setpoint: z.number().min(0.5).max(50).optional(),
});

/** MB free on the journal's disk. */
const sizeOverride = z.strictObject({
  ...stateOverride.shape,
  setpoint: z.number().positive().max(1e7).optional(),
  deadband: z.number().min(0).max(1e6).optional(),
});

/** Days. */
const daysOverride = z.strictObject({
  ...stateOverride.shape,
  setpoint: z.number().min(1).max(366).optional(),
});

/**
 * The `alarms:` section of station.yaml: what differs from the defaults, by kind. `sensor-dead` is for every channel, `board-silent`
 * for every source that several channels come from.
 */
export const alarmsEntrySchema = z.strictObject({
  "extraction-stopped": stateOverride.optional(),
  "extraction-not-running": stateOverride.optional(),
  "extraction-no-air": stateOverride.optional(),
  "coolant-high": temperatureOverride.optional(),
  "coolant-low": temperatureOverride.optional(),
  "coolant-rising": rateOverride.optional(),
  "coolant-flow-lost": flowOverride.optional(),
  "coolant-heat-no-flow": differenceOverride.optional(),
  "condensation-risk": temperatureOverride.optional(),
  "board-silent": stateOverride.optional(),
  "sensor-dead": stateOverride.optional(),
  "journal-not-writing": stateOverride.optional(),
  "readings-held": stateOverride.optional(),
  "disk-nearly-full": sizeOverride.optional(),
  "disk-filling": sizeOverride.optional(),
  "disk-slow": stateOverride.optional(),
  "backup-old": daysOverride.optional(),
  "journal-damaged": stateOverride.optional(),
  "charts-damaged": stateOverride.optional(),
  /** The disk is filling up as well where it would last for fewer days than this. */
  disk_filling_days: z.number().min(0).max(3650).optional(),
  /** The least flow the tube's maker asks for, L/min. Without it a flow sensor raises its alarm at 0 only. */
  flow_low_l_min: z.number().positive().max(200).optional(),
});
export type AlarmsEntry = z.infer<typeof alarmsEntrySchema>;

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

interface Override {
  readonly setpoint?: number | undefined;
  readonly deadband?: number | undefined;
  readonly on_delay_s?: number | undefined;
  readonly off_delay_s?: number | undefined;
  readonly priority?: AlarmDefinition["priority"] | undefined;
  readonly enabled?: boolean | undefined;
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
  checkCoolant(defined);
  checkDisk(defined);
  return defined;
}

/** What sees the air itself, and not the fan. */
const AIR_KINDS: readonly ChannelKind[] = ["extraction-airflow", "extraction-pressure", "extraction-running"];

function applies(kind: AlarmKind, { channels, backups = false }: AlarmSubjects): boolean {
  const kinds = new Set<ChannelKind>(channels.map((channel) => channel.kind));
  switch (kind) {
    case "extraction-stopped":
    case "extraction-not-running":
      return [...kinds].some(isExtraction);
    case "extraction-no-air":
      return kinds.has("extraction-speed") && AIR_KINDS.some((air) => kinds.has(air));
    case "coolant-high":
    case "coolant-low":
    case "coolant-rising":
      return kinds.has("coolant-inlet");
    case "coolant-heat-no-flow":
      return (
        (kinds.has("coolant-flow") || kinds.has("coolant-flowing")) &&
        kinds.has("coolant-inlet") &&
        kinds.has("coolant-outlet")
      );
    case "coolant-flow-lost":
      return kinds.has("coolant-flow") || kinds.has("coolant-flowing");
    case "condensation-risk":
      return kinds.has("coolant-inlet") && kinds.has("room-temperature") && kinds.has("room-humidity");
    case "board-silent":
    case "sensor-dead":
    case "journal-not-writing":
    case "readings-held":
    case "disk-nearly-full":
    case "disk-filling":
    case "disk-slow":
    case "journal-damaged":
    case "charts-damaged":
      return true;
    case "backup-old":
      return backups;
  }
}

function define(
  kind: Exclude<AlarmKind, "sensor-dead" | "board-silent">,
  entry: AlarmsEntry,
  range: CoolantRange,
): AlarmDefinition[] {
  const override: Override = entry[kind] ?? {};
  const setpoint = override.setpoint ?? defaultSetpoint(kind, entry, range);
  return settle({ ...ALARM_DEFAULTS[kind], id: kind, kind, setpoint }, override);
}

function deadSensors(entry: AlarmsEntry, channels: readonly ChannelDefinition[]): AlarmDefinition[] {
  return channels.flatMap((channel) =>
    settle(
      {
        ...ALARM_DEFAULTS["sensor-dead"],
        id: sensorAlarmId(channel.id),
        kind: "sensor-dead",
        title: `${ALARM_DEFAULTS["sensor-dead"].title}: ${channel.name}`,
        priority: deadSensorPriority(channel.kind),
        setpoint: null,
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
        ...{
          id: boardAlarmId(board),
          kind: "board-silent",
          title: `${base.title}: ${board}`,
          setpoint: null,
        },
        priority: PRIORITIES[Math.min(...priorities)] ?? base.priority,
      },
      entry["board-silent"] ?? {},
    );
  });
}

function settle(base: AlarmDefinition, override: Override): AlarmDefinition[] {
  if (override.enabled === false) return [];
  const numeric = base.setpoint !== null;
  return [
    {
      ...base,
      priority: override.priority ?? base.priority,
      deadband: numeric ? (override.deadband ?? base.deadband) : null,
      unit: numeric ? base.unit : null,
      onDelayS: override.on_delay_s ?? base.onDelayS,
      offDelayS: override.off_delay_s ?? base.offDelayS,
    },
  ];
}

function defaultSetpoint(kind: AlarmKind, entry: AlarmsEntry, range: CoolantRange): number | null {
  switch (kind) {
    case "coolant-high":
      return range.high;
    case "coolant-low":
      return range.low;
    case "coolant-rising":
      return COOLANT_RISING_SETPOINT;
    case "coolant-heat-no-flow":
      return HEAT_NO_FLOW_SETPOINT;
    case "condensation-risk":
      return CONDENSATION_SETPOINT;
    case "coolant-flow-lost":
      return entry.flow_low_l_min ?? null;
    case "disk-nearly-full":
      return DISK_NEARLY_FULL_SETPOINT;
    case "disk-filling":
      return DISK_FILLING_SETPOINT;
    case "backup-old":
      return BACKUP_OLD_SETPOINT;
    default:
      return null;
  }
}

/** A high alarm that can only return once the low one has risen would never be quiet. */
function checkCoolant(defined: readonly AlarmDefinition[]): void {
  const high = defined.find((definition) => definition.kind === "coolant-high");
  const low = defined.find((definition) => definition.kind === "coolant-low");
  if (high?.setpoint == null || low?.setpoint == null) return;
  const between = high.setpoint - low.setpoint;
  if (between <= 0)
    throw invalid("coolant-high.setpoint", `above the setpoint of coolant-low, ${low.setpoint} °C`);
  for (const definition of [high, low]) {
    if ((definition.deadband ?? 0) >= between) {
      throw invalid(
        `${definition.kind}.deadband`,
        `less than the ${between} °C between the two coolant setpoints`,
      );
    }
  }
}

/** What is to be said first must not be said after. */
function checkDisk(defined: readonly AlarmDefinition[]): void {
  const filling = defined.find((definition) => definition.kind === "disk-filling");
  const nearlyFull = defined.find((definition) => definition.kind === "disk-nearly-full");
  if (filling?.setpoint == null || nearlyFull?.setpoint == null) return;
  if (filling.setpoint <= nearlyFull.setpoint) {
    throw invalid(
      "disk-filling.setpoint",
      `above the setpoint of disk-nearly-full, ${nearlyFull.setpoint} MB`,
    );
  }
}

function invalid(path: string, expected: string): AppError {
  const full = `alarms.${path}`;
  return new AppError("config-invalid", `${full}: expected ${expected}.`, [{ path: full, expected }]);
}
