import type { AlarmKind } from "../model/alarm.js";
import type { ChannelKind } from "../model/quantity.js";
import type { AlarmDefault } from "./default.js";
import { COOLANT_ALARMS } from "./kinds/coolant.js";
import { EXTRACTION_ALARMS } from "./kinds/extraction.js";
import { KEEPING_ALARMS } from "./kinds/keeping.js";
import { SENSORS_ALARMS } from "./kinds/sensors.js";
import { PROCESS_ALARM_DEFAULTS } from "./process-definitions.js";

export type { AlarmDefault } from "./default.js";
export { CONDENSATION_SETPOINT } from "./kinds/coolant.js";
export {
  BACKUP_OLD_SETPOINT,
  DISK_FILLING_DAYS,
  DISK_FILLING_SETPOINT,
  DISK_NEARLY_FULL_SETPOINT,
} from "./kinds/keeping.js";

/**
 * The delays, deadbands and times to respond are this station's choice (common practice, no source): long enough that one
 * odd reading does not sound the alarm, short beside the time a person needs to act. Setpoints of the coolant come from the
 * set range. The 15 s of flows are the off-delay with which ISA-18.2 has one begin for a flow (from memory): a contact that
 * comes and goes faster than that is one alarm.
 */
export const ALARM_DEFAULTS: Readonly<Record<AlarmKind, AlarmDefault>> = {
  ...EXTRACTION_ALARMS,
  ...COOLANT_ALARMS,
  ...PROCESS_ALARM_DEFAULTS,
  ...SENSORS_ALARMS,
  ...KEEPING_ALARMS,
};

/** A dead sensor counts as high where its loss blinds the station to what can do harm within one cut. */
export function deadSensorPriority(kind: ChannelKind): "high" | "medium" {
  return kind.startsWith("coolant-flow") || kind === "coolant-inlet" || isExtraction(kind)
    ? "high"
    : "medium";
}

export function isExtraction(kind: ChannelKind): boolean {
  return kind.startsWith("extraction-");
}
