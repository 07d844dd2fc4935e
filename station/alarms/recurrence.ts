import type { AlarmKind } from "../model/alarm.js";

/**
 * Much slower than a chatter is what a chiller does that switches on and off about its own setting: it takes the water, and the
 * condensation margin with it, across a setpoint every few minutes, past any deadband that would not hide a trouble. Such an alarm is
 * held until it has been away for ten minutes: that of the condensation margin always, for what has become wet stays wet; those of the
 * water from the second time on that they come within ten minutes. No others are: an urgent one that is held keeps the machine from
 * being fit to cut.
 *
 * A coming is a raising, and in a standing alarm a sight beyond the setpoint itself after one past the deadband: what flickers at the
 * edge of the deadband comes no second time.
 *
 * All figures are this station's choice (common practice, no source: a chiller's turn takes some two to five minutes).
 */
const HELD: ReadonlyMap<AlarmKind, "always" | "from the second time on"> = new Map([
  ["condensation-risk", "always"],
  ["coolant-high", "from the second time on"],
  ["coolant-low", "from the second time on"],
]);

/** It must have been away for so long, and two comings are no farther apart, milliseconds. */
export const AWAY_MS = 600_000;
/** Longer than a chiller's turn, milliseconds. */
export const STAYS_MS = 300_000;

export interface Recurrence {
  /** `mono` of the last two comings, oldest first. */
  readonly comings: readonly number[];
  /** `mono` at which it was first past its deadband since it last came; null where it has not been. */
  readonly awaySince: number | null;
}

export const NEVER_CAME: Recurrence = { comings: [], awaySince: null };

/** Whether an alarm goes up and down with the water, as the chiller has it. */
export function goesWithTheWater(kind: AlarmKind): boolean {
  return HELD.has(kind);
}

export function came({ comings }: Recurrence, mono: number): Recurrence {
  return { comings: [...comings, mono].slice(-2), awaySince: null };
}

/** A standing alarm is seen: `beyond` its setpoint itself, or `away` past its deadband, or neither. What is unknown is not seen. */
export function followed(
  before: Recurrence,
  { beyond, away }: { readonly beyond: boolean; readonly away: boolean },
  mono: number,
): Recurrence {
  if (away) return before.awaySince === null ? { ...before, awaySince: mono } : before;
  return beyond && before.awaySince !== null ? came(before, mono) : before;
}

/** It must not return yet. */
export function isRecurring(kind: AlarmKind, recurrence: Recurrence, mono: number): boolean {
  const { comings, awaySince } = recurrence;
  const held = HELD.get(kind);
  if (held === undefined || awaySince === null || mono - awaySince >= AWAY_MS) return false;
  const stayed = awaySince - (comings.at(-1) ?? awaySince);
  return held === "always" || (cameTwice(recurrence) && stayed < AWAY_MS);
}

/**
 * One that somebody has acknowledged while it came and went now stays: that is no turn of the chiller, and another matter.
 * @param acknowledgedSince `mono`, milliseconds
 */
export function staysNow(
  kind: AlarmKind,
  recurrence: Recurrence,
  acknowledgedSince: number,
  mono: number,
): boolean {
  const last = recurrence.comings.at(-1);
  if (HELD.get(kind) !== "from the second time on" || last === undefined) return false;
  const stands = recurrence.awaySince === null && mono - last >= STAYS_MS;
  return stands && acknowledgedSince < last && cameTwice(recurrence);
}

function cameTwice({ comings: [first, second] }: Recurrence): boolean {
  return first !== undefined && second !== undefined && second - first <= AWAY_MS;
}
