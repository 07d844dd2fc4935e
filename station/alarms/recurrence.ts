import type { AlarmDefinition, AlarmKind } from "../model/alarm.js";

/**
 * Much slower than a chatter is what a chiller does that switches on and off about its own setting: it takes the water, and the
 * condensation margin with it, across a setpoint every few minutes, past any deadband that would not hide a trouble. Such an alarm is
 * held until it has been away for ten minutes: that of the condensation margin always, for what has become wet stays wet; those of the
 * water from the second time on that they come within ten minutes. No others are, nor one that the owner has made urgent: while that
 * stands, the machine is not fit to cut.
 *
 * A coming is a raising. A standing alarm comes again where it had gone for its off-delay, past its deadband, and has been beyond its
 * setpoint itself for its on-delay since: what flickers at the edge of the deadband comes no second time, nor does one odd reading.
 *
 * All figures are this station's choice (common practice, no source: a chiller's turn takes some two to five minutes).
 */
const HELD: ReadonlyMap<AlarmKind, "always" | "from the second time on"> = new Map([
  ["condensation-risk", "always"],
  ["coolant-high", "from the second time on"],
  ["coolant-low", "from the second time on"],
]);

/** It must have been away for so long, and two comings are no farther apart, milliseconds. */
const AWAY_MS = 600_000;
/** Longer than a chiller's turn, milliseconds. */
const STAYS_MS = 300_000;

export interface Recurrence {
  /** `mono` of the last two comings, oldest first. */
  readonly comings: readonly number[];
  /** `mono` since when it has been away, moved on by what was not seen; null where it has not gone since it last came. */
  readonly awaySince: number | null;
  /** `mono` since when one that had gone has been beyond its setpoint again; null where it has not. */
  readonly beyondSince: number | null;
  /** `mono` since when nothing has been seen of one that has gone; null where it is seen. */
  readonly unseenSince: number | null;
}

export const NEVER_CAME: Recurrence = {
  ...{ comings: [], awaySince: null, beyondSince: null, unseenSince: null },
};

/** An alarm is raised. Of kinds that do not go with the water nothing is kept here, nor by what follows. */
export function raised(before: Recurrence, kind: AlarmKind, mono: number): Recurrence {
  return HELD.has(kind) ? came(before, mono) : before;
}

function came({ comings }: Recurrence, mono: number): Recurrence {
  return { ...NEVER_CAME, comings: [...comings, mono].slice(-2) };
}

/** A standing alarm is seen: `beyond` its setpoint itself, or `away` past its deadband, or neither. */
export function followed(
  before: Recurrence,
  { beyond, away }: { readonly beyond: boolean; readonly away: boolean },
  { kind, onDelayS, offDelayS }: Pick<AlarmDefinition, "kind" | "onDelayS" | "offDelayS">,
  mono: number,
): Recurrence {
  if (!HELD.has(kind)) return before;
  const { awaySince, beyondSince } = seenAgain(before, mono);
  if (awaySince === null) return away ? { ...before, awaySince: mono } : before;
  if (!beyond) return { ...before, awaySince, beyondSince: null, unseenSince: null };
  const since = beyondSince ?? mono;
  if (since - awaySince < offDelayS * 1000) return { ...NEVER_CAME, comings: before.comings };
  return mono - since >= onDelayS * 1000
    ? came(before, since)
    : { ...before, awaySince, beyondSince: since, unseenSince: null };
}

/** A standing alarm is not seen: the sensor gives no value. */
export function unseen(before: Recurrence, mono: number): Recurrence {
  return before.awaySince === null || before.unseenSince !== null ? before : { ...before, unseenSince: mono };
}

function seenAgain({ awaySince, beyondSince, unseenSince }: Recurrence, mono: number) {
  if (awaySince === null || unseenSince === null) return { awaySince, beyondSince };
  return { awaySince: awaySince + Math.max(0, mono - unseenSince), beyondSince: null };
}

/** A standing alarm must not return yet. */
export function isRecurring(
  { kind, priority }: Pick<AlarmDefinition, "kind" | "priority">,
  { comings, awaySince }: Recurrence,
  mono: number,
): boolean {
  const held = priority === "urgent" ? undefined : HELD.get(kind);
  if (held === undefined || awaySince === null || mono - awaySince >= AWAY_MS) return false;
  const [first, last] = comings;
  if (held === "always") return true;
  if (first === undefined || last === undefined) return false;
  return last - first <= AWAY_MS && awaySince - last < AWAY_MS;
}

/** The same, and as far as is seen it is over for now. */
export function isOverForNow(
  definition: Pick<AlarmDefinition, "kind" | "priority">,
  recurrence: Recurrence,
  mono: number,
): boolean {
  const isSeenAway = recurrence.beyondSince === null && recurrence.unseenSince === null;
  return isSeenAway && isRecurring(definition, recurrence, mono);
}

/**
 * One that somebody had acknowledged before it came again now stays: that is no turn of the chiller, and another matter.
 * @param acknowledgedSince `mono`, milliseconds
 */
export function staysNow(
  kind: AlarmKind,
  { comings, awaySince }: Recurrence,
  acknowledgedSince: number,
  mono: number,
): boolean {
  const last = comings.at(-1);
  if (HELD.get(kind) !== "from the second time on" || last === undefined) return false;
  return awaySince === null && acknowledgedSince <= last && mono - last >= STAYS_MS;
}
