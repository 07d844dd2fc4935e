import type { AlarmKind, AlarmTransition, Priority } from "../model/alarm.js";
import type { ClockState } from "../model/instant.js";

/** What is told outward of a change of an alarm, or of the station itself. Kept as it was, however long it waits to be sent. */
export interface Told {
  /** The transition's id: the same by every way and at every try. */
  readonly id: string;
  readonly what: "alarm" | "station-started" | "test";
  readonly station: string;
  readonly simulated: boolean;
  readonly alarm: string;
  readonly kind: string;
  readonly title: string;
  readonly priority: Priority;
  /** `raised`, `acknowledged`, `returned`, ... */
  readonly transition: string;
  readonly state: string;
  readonly detail: string;
  /** Why it matters and what to do, for people; empty where it is not known. */
  readonly consequence: string;
  readonly action: string;
  /** Who did it; null where no person did. */
  readonly by: string | null;
  readonly wall: number;
  readonly clock: ClockState;
}

/** What is chosen for one way. */
export interface Choice {
  readonly priorities: readonly Priority[];
  readonly except_kinds: readonly AlarmKind[];
  readonly tell: "raised" | "all";
}

/** Whether a change of an alarm is told by a way: that it waits for an answer now, for those who want to hear no more. */
export function isTold(
  { kind, priority, to }: Pick<AlarmTransition, "kind" | "priority" | "to">,
  { priorities, except_kinds: except, tell }: Choice,
): boolean {
  if (!priorities.includes(priority) || except.includes(kind)) return false;
  return tell === "all" || to === "unacknowledged";
}

/**
 * Whether a time of day lies within the quiet hours, which may go over midnight. From the first minute on, the last not.
 * @param time "HH:MM"
 */
export function isQuiet(time: string, hours: { readonly from: string; readonly to: string } | null): boolean {
  if (hours === null) return false;
  const { from, to } = hours;
  return from < to ? time >= from && time < to : time >= from || time < to;
}
