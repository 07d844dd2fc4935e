import type { AlarmGroup, Priority } from "../model/alarm.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Side } from "./compare.js";

/** By what an alarm may be suppressed by design; `suppression.ts` says when that is so. */
export type SuppressionCause = "machine-off" | "board-silent";

/**
 * What an alarm is for, and its setting where station.yaml and the owner say nothing else. Every alarm has the parts that
 * ISA-18.2 asks of its rationalisation (from memory): cause, consequence, action, time to respond, and why it is set as it
 * is. A thing nobody can act on is not an alarm.
 *
 * A new kind is a name in `ALARM_KINDS`, one of these in `kinds/`, and its rule in `rules.ts`.
 */
export interface AlarmDefault {
  readonly title: string;
  readonly priority: Priority;
  readonly group: AlarmGroup;
  /** It is there where the station has a channel of one kind of each of these lists; it is judged by all of them. */
  readonly needs: readonly (readonly ChannelKind[])[];
  /** On which side of its setpoint a value is in alarm; null where a state is watched. */
  readonly side: Side | null;
  /** Null for a state, and where the setpoint comes from elsewhere (the coolant range, the least flow). */
  readonly setpoint: number | null;
  /** From where to where the setpoint may be set, in the alarm's unit; null for a state. */
  readonly setpointRange: readonly [number, number] | null;
  readonly deadband: number | null;
  readonly deadbandMost: number | null;
  readonly unit: string | null;
  readonly onDelayS: number;
  readonly offDelayS: number;
  readonly latching: boolean;
  /** Left out: as `RE_ALARM_MIN` says for the priority. */
  readonly reAlarmMin?: number | null;
  readonly suppressedWhile: readonly SuppressionCause[];
  readonly cause: string;
  readonly consequence: string;
  readonly action: string;
  readonly respondWithinS: number;
  readonly reason: string;
}

/**
 * Minutes after which an alarm that was acknowledged and is still there sounds again, by priority; null for never. This
 * station's choice, no source.
 */
export const RE_ALARM_MIN: Readonly<Record<Priority, number | null>> = {
  urgent: 10,
  high: 60,
  medium: null,
  low: null,
};
