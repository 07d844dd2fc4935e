import type { AlarmDefinition } from "./alarm.js";

/** Seconds; an hour. */
export const LONGEST_DELAY_S = 3600;
/** A week. */
export const LONGEST_RE_ALARM_MIN = 10_080;
/** Thirty days. */
export const LONGEST_RESPONSE_S = 2_592_000;

/** What of an alarm its owner may set on the page; all else comes from what the alarm is. */
export const SETTING_FIELDS = [
  "setpoint",
  "deadband",
  "onDelayS",
  "offDelayS",
  "priority",
  "latching",
  "reAlarmMin",
  "respondWithinS",
  "cause",
  "consequence",
  "action",
] as const;
export type SettingField = (typeof SETTING_FIELDS)[number];

/** What differs from station.yaml. */
export type AlarmSetting = { readonly [F in SettingField]?: AlarmDefinition[F] };

export interface FieldChange {
  readonly field: SettingField;
  readonly from: string | number | boolean | null;
  readonly to: string | number | boolean | null;
}

/** What the journal keeps of one change, as JSON. */
export interface KeptAlarmSetting {
  /** All that stands over station.yaml from then on; empty where it was given its word back. */
  readonly set: AlarmSetting;
  /** Why the owner wanted it so. */
  readonly why: string;
  readonly changes: readonly FieldChange[];
}

/** What an alarm may be set to; ends included, in its unit. Null where there is no such thing to set. */
export interface SettingLimits {
  readonly setpoint: readonly [number, number] | null;
  readonly deadband: readonly [number, number] | null;
  readonly delayS: readonly [number, number];
  readonly reAlarmMin: readonly [number, number];
  readonly respondWithinS: readonly [number, number];
}

/** An alarm as it is set, with what station.yaml says of it. */
export interface AlarmSettingView {
  readonly definition: AlarmDefinition;
  readonly file: AlarmDefinition;
  /** What of it was changed on the page and stands over the file. */
  readonly changed: readonly SettingField[];
  readonly limits: SettingLimits;
}

export interface SettingHistoryEntry {
  readonly id: number;
  readonly wall: number;
  readonly by: string | null;
  readonly why: string;
  readonly changes: readonly FieldChange[];
  /** Station.yaml was given its word back. */
  readonly toFile: boolean;
}

/** What the journal keeps of a shelf, so that it goes on after a restart and never longer. */
export interface KeptShelf {
  readonly minutes: number;
  readonly reason: string;
  readonly by: string;
  /** When it was put there, wall milliseconds, and what was known of the clock then. */
  readonly wall: number;
  readonly clock: string;
  /** How much of it was left, milliseconds, at a moment of a boot. */
  readonly leftMs: number;
  readonly mono: number;
  readonly bootId: string;
}

/** What the journal keeps of an alarm that was taken out of service. */
export interface KeptOutOfService {
  readonly reason: string;
  readonly by: string;
  readonly wall: number;
}
