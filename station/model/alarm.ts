/** Alarm words as in ISA-18.2 / IEC 62682. */
export const PRIORITIES = ["urgent", "high", "medium", "low"] as const;
export type Priority = (typeof PRIORITIES)[number];

/**
 * The states of ISA-18.2 / IEC 62682, in the order of their letters A to I (from memory): in those from "shelved" on an alarm
 * is suppressed, and says nothing.
 */
export const ALARM_STATES = [
  "normal",
  "unacknowledged",
  "acknowledged",
  "returned-unacknowledged",
  "latched-unacknowledged",
  "latched-acknowledged",
  "shelved",
  "suppressed-by-design",
  "out-of-service",
] as const;
export type AlarmState = (typeof ALARM_STATES)[number];
export type SuppressedState = "shelved" | "suppressed-by-design" | "out-of-service";
export type StandingState = Exclude<AlarmState, "normal" | SuppressedState>;

/** Alarms of one group have one cause more often than not: of those that stand it is said which rose first. */
export const ALARM_GROUPS = {
  extraction: "Extraction",
  coolant: "Coolant",
  condensation: "Condensation",
  fire: "Fire",
  sensors: "Sensors and boards",
  keeping: "Journal, disk and backups",
} as const;
export type AlarmGroup = keyof typeof ALARM_GROUPS;

/**
 * The longest that an alarm may be shelved for, in minutes: a shift, and less the sooner somebody has to act. This station's
 * choice, no source; that a shelf has an end is ISA-18.2's (from memory).
 */
export const LONGEST_SHELF_MIN: Readonly<Record<Priority, number>> = {
  urgent: 30,
  high: 120,
  medium: 480,
  low: 480,
};

export const ALARM_KINDS = [
  "extraction-stopped",
  "extraction-not-running",
  "extraction-no-air",
  "run-on-cut-short",
  "filter-loaded",
  "coolant-high",
  "coolant-low",
  "coolant-rising",
  "coolant-flow-lost",
  "coolant-heat-no-flow",
  "condensation-risk",
  "condensation-coming",
  "fire-watch-due",
  "fire-watch-late",
  "fire-watch-missed",
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
  /** It stays in force after its condition has gone, until it was acknowledged and reset. */
  readonly latching: boolean;
  /** Acknowledged and still there after so many minutes, it sounds again; null for never. */
  readonly reAlarmMin: number | null;
  readonly group: AlarmGroup;
  /** What usually is behind it. */
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  /** Seconds from its rise within which the action has to begin, to be of use. */
  readonly respondWithinS: number;
  /** Why setpoint and delays are what they are. */
  readonly reason: string;
}

export const ALARM_TRANSITIONS = [
  "raised",
  "acknowledged",
  "returned",
  "returned-to-normal",
  /** The condition has gone, and the latch holds. */
  "latched",
  "reset",
  /** Acknowledged for so long that it waits for an answer again. */
  "re-alarmed",
  /** It comes and goes within a minute, and is held from here on: no change of state. */
  "chattering",
  "shelved",
  "unshelved",
  "suppressed",
  "unsuppressed",
  "out-of-service",
  "in-service",
] as const;
export type AlarmTransitionKind = (typeof ALARM_TRANSITIONS)[number];

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

/** An alarm that waits for somebody or whose condition is there, as the pages show it. */
export interface StandingAlarm {
  readonly alarm: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly state: StandingState;
  readonly raisedWall: number;
  readonly detail: string;
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  readonly respondWithinS: number;
  readonly setpoint: number | null;
  readonly unit: string | null;
  readonly reason: string;
  readonly group: AlarmGroup;
  /** Of several of its group that stand it rose first. */
  readonly firstOut: boolean;
  /** Its condition came three times or more within a minute: it is held until that has been quiet for as long. */
  readonly chattering: boolean;
  /** It is over for now, and may only be so until the chiller's next turn: it is held until that has lasted for ten minutes. */
  readonly recurring: boolean;
  /** It has stood for more than a day. */
  readonly stale: boolean;
}

/** An alarm that is kept from saying anything: by a person for a time, by the owner, or by what it was declared for. */
export interface SuppressedAlarm {
  readonly alarm: string;
  readonly kind: AlarmKind;
  readonly title: string;
  readonly priority: Priority;
  readonly state: SuppressedState;
  /** Who shelved it or took it out of service; null for by design. */
  readonly by: string | null;
  /** Why: in that person's words, or what it is suppressed by. */
  readonly reason: string;
  /** Since when, wall milliseconds. */
  readonly sinceWall: number;
  /** How long ago, milliseconds ≥ 0. */
  readonly forMs: number;
  /** Until a shelf ends by itself, milliseconds ≥ 0; null for the others, which have no end of their own. */
  readonly leftMs: number | null;
  /** What the alarm is for is there at this moment, and would be raised. */
  readonly conditionThere: boolean;
}
