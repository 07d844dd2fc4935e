import { AppError } from "../errors.js";
import {
  type AlarmDefinition,
  type AlarmState,
  type AlarmTransition,
  PRIORITIES,
  type Priority,
  type StandingAlarm,
} from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import {
  type AlarmMemory,
  AT_REST,
  acknowledge,
  type Change,
  isSuppressed,
  type Presence,
  settled,
  step,
} from "./machine.js";
import type { StationPicture } from "./picture.js";
import { observe, type RuleMemory, remember } from "./rules.js";

/** All alarms of a station. Holds their state, does no I/O, and learns the time only from what it is given. */
export interface AlarmDesk {
  /**
   * Judges a picture and returns the changes of state, in the order of the definitions. Call it at least once a second:
   * delays take effect at a call. A wall clock that is set has no effect on any delay.
   */
  update(picture: StationPicture): readonly AlarmTransition[];
  /**
   * A person has seen the alarm. `by` is the screen's own name, `run` the id of the open run.
   * Throws `alarm-unknown` for an id that is not defined, `alarm-already-acknowledged` where somebody was first and the
   * alarm still stands, and `alarm-not-standing` where it is normal.
   */
  acknowledge(alarmId: string, by: string, now: Instant, run: string | null): AlarmTransition;
  /** Most urgent first, then unacknowledged before returned and acknowledged, then the oldest. */
  standing(): readonly StandingAlarm[];
  /** What to sound: the highest priority among alarms in the state unacknowledged. One that has returned is silent. */
  annunciation(): Priority | null;
  /** Whether the output pin should be active: an urgent alarm waits for a person, even one that has returned since. */
  pinWanted(): boolean;
  /**
   * After a restart: the alarms take up the state they were last in, so an acknowledged one is not sounded again and an
   * unacknowledged one still waits. Takes the journal's transitions, oldest first: of each alarm the last "raised", which
   * gives the time, the words and the order of age, and the last of all, which gives the state. Where the "raised" is
   * missing the last must do for both; more of them do no harm. Those of alarms no longer defined are passed over.
   */
  restore(lastTransitions: readonly AlarmTransition[]): void;
  /** The same, where the journal answers only later: an alarm that has risen since keeps the state it is in. */
  restoreResting(lastTransitions: readonly AlarmTransition[]): void;
  /** The wall times of these became known: the clock has been set since. */
  placed(lastTransitions: readonly AlarmTransition[]): void;
}

interface Post {
  readonly definition: AlarmDefinition;
  memory: AlarmMemory;
  raisedWall: number;
  raisedMono: number;
  /** Counts the raisings, so that "oldest" holds when the wall clock is set. */
  raisedOrder: number;
  detail: string;
}

type Origin = Pick<AlarmTransition, "run" | "by"> & { readonly now: Instant };

/** @param startId id of this start of the station, unique over the life of the journal: transition ids are built on it */
export function createAlarmDesk(
  definitions: readonly AlarmDefinition[],
  { startId }: { readonly startId: string },
): AlarmDesk {
  const posts = new Map<string, Post>(definitions.map((definition) => [definition.id, idle(definition)]));
  let rules: RuleMemory | null = null;
  let issued = 0;
  let raisings = 0;

  function apply(post: Post, change: Change, { now, run, by }: Origin): AlarmTransition {
    issued += 1;
    if (change.transition === "raised") {
      raisings += 1;
      post.raisedOrder = raisings;
      post.raisedWall = now.wall;
      post.raisedMono = now.mono;
    }
    const { id, kind, title, priority } = post.definition;
    return {
      id: `${startId}-${issued}`,
      alarm: id,
      kind,
      title,
      priority,
      ...change,
      wall: now.wall,
      mono: now.mono,
      run,
      by,
    };
  }

  function restore(lastTransitions: readonly AlarmTransition[]): void {
    const raised = new Set<string>();
    for (const told of lastTransitions) {
      const post = posts.get(told.alarm);
      if (post === undefined) continue;
      post.memory = settled(told.to);
      if (told.transition === "raised") raised.add(told.alarm);
      else if (raised.has(told.alarm)) continue;
      raisings += 1;
      post.raisedOrder = raisings;
      post.raisedWall = told.wall;
      post.raisedMono = told.mono;
      post.detail = told.detail;
    }
  }

  return {
    update(picture) {
      rules = remember(rules, picture);
      const seen = observe(definitions, picture, rules);
      const origin: Origin = { now: picture.now, run: picture.run?.id ?? null, by: null };
      const transitions: AlarmTransition[] = [];
      for (const [id, post] of posts) {
        const observation = seen.get(id);
        if (observation === undefined) continue;
        const stepped = step(post.memory, post.definition, observation, picture.now);
        post.memory = stepped.memory;
        if (stepped.transition !== null) transitions.push(apply(post, stepped.transition, origin));
        if (tellsOfTheAlarm(observation.presence, post.memory.state)) post.detail = observation.detail;
      }
      return transitions;
    },

    acknowledge(alarmId, by, now, run) {
      const post = posts.get(alarmId);
      if (post === undefined) {
        throw new AppError(
          "alarm-unknown",
          `No alarm is called "${alarmId}". Reload the page to see those there are.`,
        );
      }
      const stepped = acknowledge(post.memory, post.detail);
      if (stepped.transition === null) {
        const { title } = post.definition;
        throw post.memory.state === "acknowledged"
          ? new AppError(
              "alarm-already-acknowledged",
              `"${title}" has been acknowledged already. There is nothing to do.`,
            )
          : new AppError("alarm-not-standing", `"${title}" is not standing. There is nothing to do.`);
      }
      post.memory = stepped.memory;
      return apply(post, stepped.transition, { now, run, by });
    },

    standing() {
      return [...posts.values()].sort(byUrgency).flatMap(shown);
    },

    annunciation() {
      const sounding = [...posts.values()]
        .filter((post) => post.memory.state === "unacknowledged")
        .map((post) => PRIORITIES.indexOf(post.definition.priority));
      return PRIORITIES[Math.min(...sounding)] ?? null;
    },

    pinWanted() {
      return [...posts.values()].some(
        (post) =>
          post.definition.priority === "urgent" &&
          (post.memory.state === "unacknowledged" || post.memory.state === "returned-unacknowledged"),
      );
    },

    restore,

    placed(lastTransitions) {
      for (const { alarm, wall, mono } of lastTransitions) {
        const post = posts.get(alarm);
        if (post?.raisedMono === mono) post.raisedWall = wall;
      }
    },

    restoreResting(lastTransitions) {
      restore(lastTransitions.filter(({ alarm }) => posts.get(alarm)?.memory.state === "normal"));
    },
  };
}

function idle(definition: AlarmDefinition): Post {
  return { definition, memory: AT_REST, raisedWall: 0, raisedMono: 0, raisedOrder: 0, detail: "" };
}

/** People read what the alarm is about, so the last words while its condition was there stay when it has gone. */
function tellsOfTheAlarm(presence: Presence, state: AlarmState): boolean {
  return presence === "present" && state !== "normal";
}

const STATE_ORDER: readonly AlarmState[] = [
  "unacknowledged",
  "latched-unacknowledged",
  "returned-unacknowledged",
  "acknowledged",
  "latched-acknowledged",
  "shelved",
  "suppressed-by-design",
  "out-of-service",
  "normal",
];

function byUrgency(a: Post, b: Post): number {
  return (
    PRIORITIES.indexOf(a.definition.priority) - PRIORITIES.indexOf(b.definition.priority) ||
    STATE_ORDER.indexOf(a.memory.state) - STATE_ORDER.indexOf(b.memory.state) ||
    a.raisedOrder - b.raisedOrder
  );
}

function shown({ definition, memory, raisedWall, detail }: Post): StandingAlarm[] {
  if (memory.state === "normal" || isSuppressed(memory.state)) return [];
  const { id, kind, title, priority, group, setpoint, unit } = definition;
  const { cause, consequence, action, respondWithinS, reason } = definition;
  return [
    {
      alarm: id,
      ...{ kind, title, priority, state: memory.state, raisedWall, detail },
      ...{ cause, consequence, action, respondWithinS, setpoint, unit, reason, group },
      ...{ firstOut: false, chattering: false, stale: false },
    },
  ];
}
