import type { AlarmKind } from "../model/alarm.js";
import { ALARM_DEFAULTS } from "./definitions.js";

/** On which side of its setpoint a value is in alarm. */
export type Side = "high" | "low";

/** The side of an analogue kind; null for a kind that watches a state. */
export function sideOf(kind: AlarmKind): Side | null {
  return ALARM_DEFAULTS[kind].side;
}

/** True when `value` lies beyond `setpoint`. At the setpoint itself it does not: a range includes its ends. */
export function isBeyond(side: Side, value: number, setpoint: number): boolean {
  return side === "high" ? value > setpoint : value < setpoint;
}

/**
 * True when a standing alarm has not come back far enough to return: the value must be back past the setpoint by the
 * whole deadband (reaching it is enough). `deadband` ≥ 0, in the unit of the value; all three in one unit.
 */
export function isHeld(side: Side, value: number, setpoint: number, deadband: number): boolean {
  return side === "high" ? value > setpoint - deadband : value < setpoint + deadband;
}
