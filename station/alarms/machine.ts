import type { AlarmDefinition, AlarmState, AlarmTransitionKind, SuppressedState } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { isHeld, sideOf } from "./compare.js";

/**
 * One alarm's state machine, in the states of ISA-18.2 / IEC 62682 (from memory):
 *
 * | from \ on               | present for on-delay | absent for off-delay    | acknowledge  |
 * | ----------------------- | -------------------- | ----------------------- | ------------ |
 * | normal                  | unacknowledged       | -                       | -            |
 * | unacknowledged          | -                    | returned-unacknowledged | acknowledged |
 * | acknowledged            | -                    | normal                  | -            |
 * | returned-unacknowledged | unacknowledged       | -                       | normal       |
 *
 * Delays run on `mono` alone, so setting the wall clock neither hurries an alarm nor holds it back. The machine has no
 * timer: a delay that has run out takes effect at the next step, so it is stepped at least as often as its delays matter.
 *
 * "unknown" (the sensor gives no value) makes no transition: a standing alarm stands. What it does to a delay under way
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
}

export interface AlarmMemory {
  readonly state: AlarmState;
  /**
   * `mono` in milliseconds at which the delay under way began, moved on by what did not count; null when none is.
   */
  readonly pendingSince: number | null;
  /** `mono` in milliseconds at which a delay under way became "unknown"; null while it is seen, or none is under way. */
  readonly unknownSince: number | null;
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
  return { state, pendingSince: null, unknownSince: null };
}

/** True while the condition itself stands, acknowledged or not. */
export function isActive(state: AlarmState): boolean {
  return state === "unacknowledged" || state === "acknowledged";
}

export function isSuppressed(state: AlarmState): state is SuppressedState {
  return state === "shelved" || state === "suppressed-by-design" || state === "out-of-service";
}

/**
 * Carries one alarm forward to `now` with what was seen. A step makes at most one transition.
 * `now` may lie a little before the last step's, since readings carry their own time: that makes no transition early.
 */
export function step(
  memory: AlarmMemory,
  definition: AlarmDefinition,
  observation: Observation,
  now: Instant,
): Stepped {
  const active = isActive(memory.state);
  const presence = withDeadband(definition, observation, active);
  if (presence === "unknown") return { memory: held(memory, observation.holdMs, now), transition: null };

  const headedElsewhere = active ? presence === "absent" : presence === "present";
  if (!headedElsewhere) return { memory: settled(memory.state), transition: null };

  const pendingSince = begun(memory, observation.holdMs, active, now);
  const delayMs = (active ? definition.offDelayS : definition.onDelayS) * 1000;
  if (now.mono - pendingSince < delayMs) {
    return { memory: { state: memory.state, pendingSince, unknownSince: null }, transition: null };
  }
  return changed(memory.state, active ? gone(memory.state) : RAISED, observation.detail);
}

function held(memory: AlarmMemory, holdMs: number, now: Instant): AlarmMemory {
  const unknownSince = memory.unknownSince ?? now.mono;
  return memory.pendingSince === null || now.mono - unknownSince >= holdMs
    ? settled(memory.state)
    : { ...memory, unknownSince };
}

/** When the delay that is under way at `now` counts as begun: now, where there was none or it did not outlast an unknown. */
function begun(
  { pendingSince, unknownSince }: AlarmMemory,
  holdMs: number,
  active: boolean,
  now: Instant,
): number {
  if (pendingSince === null) return now.mono;
  if (unknownSince === null) return pendingSince;
  const unknownMs = Math.max(0, now.mono - unknownSince);
  if (unknownMs >= holdMs) return now.mono;
  return active ? pendingSince + unknownMs : pendingSince;
}

/**
 * A person has seen the alarm: unacknowledged becomes acknowledged, returned-unacknowledged becomes normal, and nothing
 * else changes. A delay under way goes on.
 */
export function acknowledge(memory: AlarmMemory, detail: string): Stepped {
  switch (memory.state) {
    case "unacknowledged":
      return seen(memory, "acknowledged", detail);
    case "returned-unacknowledged":
      return seen(memory, "normal", detail);
    default:
      return { memory, transition: null };
  }
}

function seen(memory: AlarmMemory, to: AlarmState, detail: string): Stepped {
  const transition: Change = { transition: "acknowledged", from: memory.state, to, detail };
  return { memory: { ...memory, state: to }, transition };
}

interface Target {
  readonly transition: AlarmTransitionKind;
  readonly to: AlarmState;
}

const RAISED: Target = { transition: "raised", to: "unacknowledged" };

function gone(state: AlarmState): Target {
  return state === "acknowledged"
    ? { transition: "returned-to-normal", to: "normal" }
    : { transition: "returned", to: "returned-unacknowledged" };
}

function changed(from: AlarmState, { transition, to }: Target, detail: string): Stepped {
  return { memory: settled(to), transition: { transition, from, to, detail } };
}

/** Only a standing alarm has a deadband: before it is raised, being back at the setpoint is being absent. */
function withDeadband(definition: AlarmDefinition, observation: Observation, active: boolean): Presence {
  const { presence, value } = observation;
  if (value !== null && !Number.isFinite(value)) return "unknown";
  if (presence !== "absent" || !active || value === null) return presence;
  const side = sideOf(definition.kind);
  if (side === null || definition.setpoint === null) return presence;
  return isHeld(side, value, definition.setpoint, definition.deadband ?? 0) ? "present" : "absent";
}
