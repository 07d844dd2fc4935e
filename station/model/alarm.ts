/** Alarm words as in ISA-18.2 / IEC 62682. */
export const PRIORITIES = ["urgent", "high", "medium", "low"] as const;
export type Priority = (typeof PRIORITIES)[number];

export type AlarmState = "normal" | "unacknowledged" | "acknowledged" | "returned-unacknowledged";

export const ALARM_KINDS = [
  "extraction-stopped",
  "extraction-not-running",
  "extraction-no-air",
  "coolant-high",
  "coolant-low",
  "coolant-rising",
  "coolant-flow-lost",
  "coolant-heat-no-flow",
  "condensation-risk",
  "board-silent",
  "sensor-dead",
  "journal-not-writing",
  "readings-held",
  "disk-nearly-full",
  "disk-filling",
  "disk-slow",
  "backup-old",
  "journal-damaged",
  "charts-damaged",
] as const;
export type AlarmKind = (typeof ALARM_KINDS)[number];

/** A set alarm. For a state alarm setpoint and deadband are null. */
export interface AlarmDefinition {
  /** The kind, or for a sensor `sensor-dead:<channel id>` and for a board `board-silent:<source id>`. */
  readonly id: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly setpoint: number | null;
  /** How far the value must come back past the setpoint before the alarm returns to normal; in the value's unit, ≥ 0. */
  readonly deadband: number | null;
  readonly unit: string | null;
  /** The condition must hold this long before the alarm rises; seconds ≥ 0. */
  readonly onDelayS: number;
  /** The condition must be gone this long before the alarm returns; seconds ≥ 0. */
  readonly offDelayS: number;
  readonly consequence: string;
  readonly action: string;
}

export type AlarmTransitionKind = "raised" | "acknowledged" | "returned" | "returned-to-normal";

/** One change of state of one alarm; the journal keeps every one. */
export interface AlarmTransition {
  /** Unique over the life of the journal: `<boot session>-<counter>`. */
  readonly id: string;
  readonly alarm: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly transition: AlarmTransitionKind;
  readonly from: AlarmState;
  readonly to: AlarmState;
  readonly wall: number;
  readonly mono: number;
  /** What was seen, with its number and unit, for people. */
  readonly detail: string;
  /** The run that was open, if any. */
  readonly run: string | null;
  /** Who acknowledged: the screen's own name; null where no person did it. */
  readonly by: string | null;
}

/** An alarm that is not normal, as the pages show it. */
export interface StandingAlarm {
  readonly alarm: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly state: Exclude<AlarmState, "normal">;
  readonly raisedWall: number;
  readonly detail: string;
  readonly consequence: string;
  readonly action: string;
  readonly setpoint: number | null;
  readonly unit: string | null;
}
