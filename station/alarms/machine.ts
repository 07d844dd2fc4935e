import type { AlarmDefinition, AlarmState, AlarmTransitionKind, SuppressedState } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { type Chatter, heard, isChattering, isHeldBack, isOfContact, QUIET } from "./chatter.js";
import { isHeld, sideOf } from "./compare.js";
import {
  followed,
  isRecurring,
  NEVER_CAME,
  type Recurrence,
  raised,
  staysNow,
  unseen,
} from "./recurrence.js";

/**
 * One alarm's state machine, in the states A to I of ISA-18.2 / IEC 62682 (from memory). Here is what comes with time;
 * `deeds.ts` has what people do.
 *
 * | from \ on                | present for on-delay | absent for off-delay     | other                                      |
 * | ------------------------ | -------------------- | ------------------------ | ------------------------------------------ |
 * | A normal                 | B                    | -                        | design suppresses: H                       |
 * | B unacknowledged         | -                    | D; E if it latches       |                                            |
 * | C acknowledged           | -                    | A; F if it latches       | stands too long: B; design suppresses: H   |
 * | D returned-unacknowledged | B                   | -                        |                                            |
 * | E latched-unacknowledged | B                    | -                        |                                            |
 * | F latched-acknowledged   | B                    | -                        |                                            |
 * | G shelved                | noted                | noted                    | its time is over: A, and B where noted     |
 * | H suppressed-by-design   | noted                | noted                    | no longer suppressed: A, and B where noted |
 * | I out-of-service         | noted                | noted                    |                                            |
 *
 * Suppression by design takes no alarm from the list that somebody still has to see (B, D, E, F), nor one whose latch would be
 * lost by it: this station's choice, the standard leaves it open (from memory).
 *
 * Delays run on `mono` alone, so setting the wall clock neither hurries an alarm nor holds it back. The machine has no
 * timer: a delay that has run out takes effect at the next step, so it is stepped at least as often as its delays matter.
 *
 * "unknown" (the sensor gives no value) neither raises nor returns: a standing alarm stands. What it does to a delay under way
 * depends on how long it lasts, against the observation's `holdMs`:
 *
 * | delay under way | unknown for less than the hold        | unknown for the hold or longer |
 * | --------------- | ------------------------------------- | ------------------------------ |
 * | on-delay        | goes on, the unknown time counts      | starts again                   |
 * | off-delay       | waits, the unknown time does not count | starts again                   |
 *
 * Without the hold, a probe whose every second read fails would never let an on-delay run out, and its alarm would be
 * silent for ever. Without its limit, two glimpses of a fault, minutes apart, would pass for one long fault. Both choices
 * lean towards the alarm: it is raised as if the fault had gone on unseen, and returns only on time that was seen. The
 * sensor that is dead or answers only now and then is an alarm of its own.
 */

export type Presence = "present" | "absent" | "unknown";

/** What was seen of one alarm's condition at one moment. */
export interface Observation {
  /** Against the setpoint, without its deadband: the machine applies the deadband. */
  readonly presence: Presence;
  /** In the definition's unit; null where no number decided. */
  readonly value: number | null;
  /** How long "unknown" may last before a delay under way starts again; milliseconds ≥ 0, 0 for not at all. */
  readonly holdMs: number;
  /** A sentence for people, with its number and unit. */
  readonly detail: string;
  /** What suppresses it by design at this moment, for people; absent or null where nothing does. */
  readonly suppressedBy?: string | null;
}

export interface AlarmMemory {
  readonly state: AlarmState;
  /**
   * `mono` in milliseconds at which the delay under way began, moved on by what did not count; null when none is.
   */
  readonly pendingSince: number | null;
  /** `mono` in milliseconds at which a delay under way became "unknown"; null while it is seen, or none is under way. */
  readonly unknownSince: number | null;
  /** Of a suppressed alarm: its condition is there, and would be raised. Else the state says it. */
  readonly beneath: boolean;
  /** `mono` of the first step that saw it acknowledged; null in every other state. */
  readonly acknowledgedSince: number | null;
  /** `mono` at which the shelf ends; null where it is not shelved. */
  readonly shelvedUntil: number | null;
  readonly chatter: Chatter;
  readonly recurrence: Recurrence;
}

/** A change of state; the desk adds who, when and in which run. */
export interface Change {
  readonly transition: AlarmTransitionKind;
  readonly from: AlarmState;
  readonly to: AlarmState;
  readonly detail: string;
}

export interface Stepped {
  readonly memory: AlarmMemory;
  readonly transition: Change | null;
}

export const AT_REST: AlarmMemory = settled("normal");

/** An alarm in a state with no delay under way. */
export function settled(state: AlarmState): AlarmMemory {
  return {
    ...{ state, pendingSince: null, unknownSince: null, beneath: false },
    ...{
      acknowledgedSince: null,
      shelvedUntil: null,
      chatter: QUIET,
      recurrence: NEVER_CAME,
    },
  };
}

/** True while the condition itself stands, acknowledged or not. */
export function isActive(state: AlarmState): boolean {
  return state === "unacknowledged" || state === "acknowledged";
}

export function isSuppressed(state: AlarmState): state is SuppressedState {
  return state === "shelved" || state === "suppressed-by-design" || state === "out-of-service";
}

/** Whether the condition is there with its delays served, whatever is said of it. */
export function isThere({ state, beneath }: AlarmMemory): boolean {
  return isActive(state) || beneath;
}

/**
 * Carries one alarm forward to `now` with what was seen. A step makes at most one transition; where it makes one, another may
 * be due at the same moment, so it is stepped until there is none.
 * `now` may lie a little before the last step's, since readings carry their own time: that makes no transition early.
 */
export function step(
  memory: AlarmMemory,
  definition: AlarmDefinition,
  observation: Observation,
  now: Instant,
): Stepped {
  const due = suppressionDue(memory, definition, observation, now);
  if (due !== null) return due;
  const watched = watch(memory, definition, observation, now);
  if (watched.transition !== null) return watched;
  return soundAgain(watched.memory, definition, observation, now);
}

/** The change of state that a shelf or a design asks for; null for none. */
function suppressionDue(
  memory: AlarmMemory,
  { latching }: AlarmDefinition,
  { suppressedBy = null, detail }: Observation,
  now: Instant,
): Stepped | null {
  const { state, beneath, shelvedUntil } = memory;
  if (state === "shelved" && (shelvedUntil === null || now.mono >= shelvedUntil)) {
    return changed(memory, "unshelved", "normal", "Its time on the shelf is over");
  }
  if (state === "suppressed-by-design" && suppressedBy === null) {
    return changed(memory, "unsuppressed", "normal", "What suppressed it is over");
  }
  const mayBe = state === "normal" || (state === "acknowledged" && !latching);
  if (mayBe && suppressedBy !== null) {
    return changed(memory, "suppressed", "suppressed-by-design", suppressedBy);
  }
  return state === "normal" && beneath ? changed(memory, "raised", "unacknowledged", detail) : null;
}

/** Lets the delays run, and makes the change of state that the condition itself asks for. */
function watch(before: AlarmMemory, definition: AlarmDefinition, seen: Observation, now: Instant): Stepped {
  const there = isThere(before);
  const sight = withDeadband(definition, seen, there);
  if (sight === "unknown") {
    const recurrence = unseen(before.recurrence, now.mono);
    const memory = recurrence === before.recurrence ? before : { ...before, recurrence };
    return { memory: held(memory, seen.holdMs, now), transition: null };
  }

  const contact = isOfContact(definition.kind, seen.value);
  const comes = sight === "present" && before.chatter.lastSight !== "present";
  const chatter = heard(before.chatter, sight, comes && (contact || there), now.mono);
  const side = { beyond: seen.presence === "present", away: sight === "absent" };
  const recurrence = there ? followed(before.recurrence, side, definition, now.mono) : before.recurrence;
  const same = chatter === before.chatter && recurrence === before.recurrence;
  const memory = same ? before : { ...before, chatter, recurrence };
  // A contact that chatters is there: else none of its turns would ever outlast the on-delay.
  const presence = contact && !there && isChattering(chatter, now.mono) ? "present" : sight;

  const headedElsewhere = there ? presence === "absent" : presence === "present";
  if (!headedElsewhere) return { memory: atRest(memory), transition: null };

  const pendingSince = begun(memory, seen.holdMs, there, now);
  const delayMs = (there ? definition.offDelayS : definition.onDelayS) * 1000;
  const kept = there && (isHeldBack(chatter, now.mono) || isRecurring(definition, recurrence, now.mono));
  if (kept || now.mono - pendingSince < delayMs) {
    return { memory: { ...memory, pendingSince, unknownSince: null }, transition: null };
  }
  const coming = there ? recurrence : raised(recurrence, definition.kind, now.mono);
  if (isSuppressed(memory.state)) {
    return {
      memory: { ...atRest(memory), recurrence: coming, beneath: !memory.beneath },
      transition: null,
    };
  }
  if (there) return gone(memory, definition, seen.detail);
  const counted = contact ? chatter : heard(chatter, "present", true, now.mono);
  const detail =
    sight === "present" ? seen.detail : `It comes and goes, and was there just now. ${seen.detail}`;
  return changed({ ...memory, chatter: counted, recurrence: coming }, "raised", "unacknowledged", detail);
}

/** Acknowledged and still there after so long, or no longer coming and going, it waits for an answer again. Not while it is being seen to go. */
function soundAgain(
  memory: AlarmMemory,
  { kind, reAlarmMin }: AlarmDefinition,
  { presence, detail }: Observation,
  now: Instant,
): Stepped {
  if (memory.state !== "acknowledged") return { memory, transition: null };
  const acknowledgedSince = memory.acknowledgedSince ?? now.mono;
  const over = reAlarmMin !== null && now.mono - acknowledgedSince >= reAlarmMin * 60_000;
  const stays = staysNow(kind, memory.recurrence, acknowledgedSince, now.mono);
  if ((over && presence !== "absent") || (stays && presence === "present"))
    return changed(memory, "re-alarmed", "unacknowledged", detail);
  return { memory: { ...memory, acknowledgedSince }, transition: null };
}

function held(memory: AlarmMemory, holdMs: number, now: Instant): AlarmMemory {
  const unknownSince = memory.unknownSince ?? now.mono;
  return memory.pendingSince === null || now.mono - unknownSince >= holdMs
    ? atRest(memory)
    : { ...memory, unknownSince };
}

/** When the delay that is under way at `now` counts as begun: now, where there was none or it did not outlast an unknown. */
function begun(
  { pendingSince, unknownSince }: AlarmMemory,
  holdMs: number,
  there: boolean,
  now: Instant,
): number {
  if (pendingSince === null) return now.mono;
  if (unknownSince === null) return pendingSince;
  const unknownMs = Math.max(0, now.mono - unknownSince);
  if (unknownMs >= holdMs) return now.mono;
  return there ? pendingSince + unknownMs : pendingSince;
}

/** The same memory where no delay is under way: most alarms are at rest at most steps, and that leaves nothing to be cleared away. */
function atRest(memory: AlarmMemory): AlarmMemory {
  if (memory.pendingSince === null && memory.unknownSince === null) return memory;
  return { ...memory, pendingSince: null, unknownSince: null };
}

function gone(memory: AlarmMemory, { latching }: AlarmDefinition, detail: string): Stepped {
  const seen = memory.state === "acknowledged";
  if (latching)
    return changed(memory, "latched", seen ? "latched-acknowledged" : "latched-unacknowledged", detail);
  return seen
    ? changed(memory, "returned-to-normal", "normal", detail)
    : changed(memory, "returned", "returned-unacknowledged", detail);
}

/**
 * The memory in another state. What it knows of its condition goes along into and out of suppression; every other change of
 * state ends the delay under way.
 */
export function changed(
  memory: AlarmMemory,
  transition: AlarmTransitionKind,
  to: AlarmState,
  detail: string,
): Stepped {
  const { state: from, pendingSince, unknownSince, chatter, recurrence } = memory;
  // What goes with the water and is away is not there beneath: it would be raised anew for nothing.
  const isAway = isThere(memory) && recurrence.awaySince !== null;
  const across = (isSuppressed(from) || isSuppressed(to)) && !isAway;
  const entered: AlarmMemory = {
    ...settled(to),
    ...{ chatter, recurrence },
    ...(across ? { pendingSince, unknownSince, beneath: isThere(memory) } : {}),
  };
  return { memory: entered, transition: { transition, from, to, detail } };
}

/** Only a standing alarm has a deadband: before it is raised, being back at the setpoint is being absent. */
function withDeadband(definition: AlarmDefinition, observation: Observation, there: boolean): Presence {
  const { presence, value } = observation;
  if (value !== null && !Number.isFinite(value)) return "unknown";
  if (presence !== "absent" || !there || value === null) return presence;
  const side = sideOf(definition.kind);
  if (side === null || definition.setpoint === null) return presence;
  return isHeld(side, value, definition.setpoint, definition.deadband ?? 0) ? "present" : "absent";
}
