import type { AlarmKind } from "../model/alarm.js";

/**
 * A contact that is loose, or a value that swings about its setpoint, makes an alarm come and go. Such an alarm is chattering
 * once it has come three times within a minute (as ISA-18.2 and EEMUA 191 count, from memory). It is held, so that people get
 * one alarm that stays and not a series.
 *
 * What counts as a coming: of a contact each change to "present", since it has neither setpoint nor deadband to be near to; of
 * a number each raising, and in a standing alarm each coming back after it had gone past the deadband.
 *
 * Much slower is what a chiller does that switches on and off about its own setting: it takes the water, and the condensation
 * margin with it, across a setpoint every few minutes, past any deadband that would not hide a trouble. An alarm of these that
 * has come twice within ten minutes is held likewise, until it has stayed away for ten: it recurs. No others do: an urgent one
 * that is held keeps the machine from being fit to cut.
 */

/**
 * Kinds that a switch or a stopped fan may decide. That a sensor gives no value, or the disk takes its time, comes and goes as well, but
 * has a rule of its own for that (`answers.ts`): three readings in a minute with a wrong checksum are no dead sensor.
 */
const BY_CONTACT: ReadonlySet<AlarmKind> = new Set<AlarmKind>([
  "extraction-stopped",
  "extraction-not-running",
  "extraction-no-air",
  "coolant-flow-lost",
]);

/** Kinds that go up and down with the water, as the chiller has it. */
const BY_CHILLER: ReadonlySet<AlarmKind> = new Set<AlarmKind>([
  "coolant-high",
  "coolant-low",
  "condensation-risk",
]);

/** Whether a sight of this alarm is that of a contact: it has no number. @param value of the observation */
export function isOfContact(kind: AlarmKind, value: number | null): boolean {
  return value === null && BY_CONTACT.has(kind);
}

/** Within so long, milliseconds. */
export const CHATTER_WINDOW_MS = 60_000;
const CHATTERS_FROM = 3;
/** One that has come twice is held already: else a slow chatter would be told of twice before it is known for one. */
const HELD_FROM = 2;
/** A few turns of a chiller (common practice, no source: some two to five minutes each), milliseconds. */
export const RECURRING_WINDOW_MS = 600_000;

export interface Chatter {
  /** What was seen last, an "unknown" apart; null before anything was. */
  readonly lastSight: "present" | "absent" | null;
  /** `mono` of the latest comings, at most as many as are counted, oldest first. */
  readonly comings: readonly number[];
}

export const QUIET: Chatter = { lastSight: null, comings: [] };

/** @param comes whether this sight is a coming */
export function heard(before: Chatter, sight: "present" | "absent", comes: boolean, mono: number): Chatter {
  if (!comes) return before.lastSight === sight ? before : { ...before, lastSight: sight };
  return { lastSight: sight, comings: [...before.comings, mono].slice(-CHATTERS_FROM) };
}

/** Three comings within a minute, and no minute of quiet since. */
export function isChattering(chatter: Chatter, mono: number): boolean {
  return cameTogether(chatter, CHATTERS_FROM, CHATTER_WINDOW_MS, mono);
}

/** It must not return yet: it came again within a minute, less than a minute ago. */
export function isHeldBack(chatter: Chatter, mono: number): boolean {
  return cameTogether(chatter, HELD_FROM, CHATTER_WINDOW_MS, mono);
}

/** The same, within ten minutes, of what a chiller takes across its setpoint. */
export function isRecurring(kind: AlarmKind, chatter: Chatter, mono: number): boolean {
  return BY_CHILLER.has(kind) && cameTogether(chatter, HELD_FROM, RECURRING_WINDOW_MS, mono);
}

function cameTogether({ comings }: Chatter, count: number, windowMs: number, mono: number): boolean {
  const last = comings.at(-1);
  const first = comings.at(-count);
  if (last === undefined || first === undefined) return false;
  return last - first <= windowMs && mono - last < windowMs;
}
