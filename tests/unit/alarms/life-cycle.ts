import {
  acknowledge,
  putInService,
  reset,
  shelve,
  takeOutOfService,
  unshelve,
} from "../../../station/alarms/deeds.js";
import {
  type AlarmMemory,
  isSuppressed,
  type Observation,
  type Stepped,
  settled,
  step,
} from "../../../station/alarms/machine.js";
import type { AlarmState } from "../../../station/model/alarm.js";
import { definition } from "./given.js";

/** The states under the letters that the standard has for them. */
export const LETTERS = {
  A: "normal",
  B: "unacknowledged",
  C: "acknowledged",
  D: "returned-unacknowledged",
  E: "latched-unacknowledged",
  F: "latched-acknowledged",
  G: "shelved",
  H: "suppressed-by-design",
  I: "out-of-service",
} as const satisfies Record<string, AlarmState>;
export type Letter = keyof typeof LETTERS;
export const letterOf = (state: AlarmState) =>
  (Object.keys(LETTERS) as Letter[]).find((letter) => LETTERS[letter] === state);

/** When everything here happens; delays that began at 0 have run out by then, and the shelf has not. */
const NOW = { mono: 1_000_000, wall: 0 };
const LATER = { mono: NOW.mono + 3_600_000, wall: 0 };
export const alarm = (latching: boolean) =>
  definition({ kind: "extraction-no-air", setpoint: null, deadband: null, reAlarmMin: 10, latching });

const sees = (presence: Observation["presence"], suppressed = false): Observation => ({
  ...{ presence, value: null, holdMs: 0, detail: "seen" },
  ...(suppressed ? { suppressedBy: "The machine is off" } : {}),
});

/** An alarm in a state, with every delay served up to now that may be under way in it. */
export function standingIn(letter: Letter, there: boolean): AlarmMemory {
  const state = LETTERS[letter];
  return {
    ...settled(state),
    pendingSince: 0,
    beneath: isSuppressed(state) && there,
    acknowledgedSince: state === "acknowledged" ? NOW.mono : null,
    shelvedUntil: state === "shelved" ? NOW.mono + 60_000 : null,
    // Seen before, so that no sight of now is a coming.
    chatter: { lastSight: "present", comings: [] },
  };
}

/** The condition as the state says it to be; of a suppressed one what is beneath. */
const asItIs = ({ state, beneath }: AlarmMemory) =>
  beneath || state === "unacknowledged" || state === "acknowledged" ? "present" : "absent";

type Act = (memory: AlarmMemory, latching: boolean) => Stepped;

const acts = {
  "condition comes": (memory, latching) =>
    step(memory, alarm(latching), sees("present", memory.state === "suppressed-by-design"), NOW),
  "condition goes": (memory, latching) =>
    step(memory, alarm(latching), sees("absent", memory.state === "suppressed-by-design"), NOW),
  "sensor is lost": (memory, latching) =>
    step(memory, alarm(latching), sees("unknown", memory.state === "suppressed-by-design"), NOW),
  acknowledge: (memory) => acknowledge(memory, "seen"),
  reset: (memory) => reset(memory, "seen"),
  shelve: (memory) => shelve(memory, NOW.mono + 60_000, "cleaning"),
  unshelve: (memory) => unshelve(memory, "done"),
  "shelf is over": (memory, latching) =>
    memory.state === "shelved" ? step(memory, alarm(latching), sees(asItIs(memory)), LATER) : same(memory),
  "design suppresses": (memory, latching) => step(memory, alarm(latching), sees(asItIs(memory), true), NOW),
  "design lets go": (memory, latching) => step(memory, alarm(latching), sees(asItIs(memory)), NOW),
  "out of service": (memory) => takeOutOfService(memory, "broken"),
  "in service": (memory) => putInService(memory, ""),
  "stands too long": (memory, latching) =>
    memory.state === "acknowledged" ? step(memory, alarm(latching), sees("present"), LATER) : same(memory),
} as const satisfies Record<string, Act>;
export type Event = keyof typeof acts;
/** Every event there is. Each is one alone: all else stays as it is. */
export const EVENTS: Readonly<Record<Event, Act>> = acts;

function same(memory: AlarmMemory): Stepped {
  return { memory, transition: null };
}
