import type { AlarmKind } from "../model/alarm.js";

/**
 * A contact that is loose, or a value that swings about its setpoint, makes an alarm come and go. Such an alarm is chattering
 * once it has come three times within a minute (as ISA-18.2 and EEMUA 191 count, from memory). It is held, so that people get
 * one alarm that stays and not a series.
 *
 * What counts as a coming: of a contact each change to "present", since it has neither setpoint nor deadband to be near to; of
 * a number each raising, and in a standing alarm each coming back after it had gone past the deadband.
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

/** Whether a sight of this alarm is that of a contact: it has no number. @param value of the observation */
export function isOfContact(kind: AlarmKind, value: number | null): boolean {
  return value === null && BY_CONTACT.has(kind);
}

/** Within so long, milliseconds. */
export const CHATTER_WINDOW_MS = 60_000;
const CHATTERS_FROM = 3;
/** One that has come twice is held already: else a slow chatter would be told of twice before it is known for one. */
const HELD_FROM = 2;

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
  return cameTogether(chatter, CHATTERS_FROM, mono);
}

/** It must not return yet: it came again within a minute, less than a minute ago. */
export function isHeldBack(chatter: Chatter, mono: number): boolean {
  return cameTogether(chatter, HELD_FROM, mono);
}

function cameTogether({ comings }: Chatter, count: number, mono: number): boolean {
  const last = comings.at(-1);
  const first = comings.at(-count);
  if (last === undefined || first === undefined) return false;
  return last - first <= CHATTER_WINDOW_MS && mono - last < CHATTER_WINDOW_MS;
}
