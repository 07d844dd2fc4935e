import { AppError } from "../errors.js";
import {
  type AlarmDefinition,
  type AlarmState,
  type AlarmTransition,
  LONGEST_SHELF_MIN,
  type Priority,
  type StandingAlarm,
  type SuppressedAlarm,
} from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { acknowledge, putInService, reset, shelve, takeOutOfService, unshelve } from "./deeds.js";
import { type Change, type Presence, type Stepped, step } from "./machine.js";
import type { StationPicture } from "./picture.js";
import { idle, type Looked, type Post, shortenShelf, tellsOfChatter } from "./post.js";
import { refusals, refusalToAcknowledge, refusalToReset } from "./refusals.js";
import { observe, type RuleMemory, remember } from "./rules.js";
import { standingOf, suppressedOf } from "./shown.js";
import { priorityToSound, urgentWaits } from "./sounding.js";
import { type TakenUp, type TakenUpLate, takeUp, unchangedSince } from "./take-up.js";

/** Who does something to an alarm, when, and in which run. */
export interface Deed {
  readonly alarm: string;
  /** The screen's own name, or the person's. */
  readonly by: string;
  readonly now: Instant;
  readonly run: string | null;
}

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
  /** Lets a latch go. @throws AppError `alarm-unknown`, `alarm-not-latched` */
  reset(deed: Deed): AlarmTransition;
  /**
   * Keeps it silent for so many minutes, after which it is back by itself.
   * @throws AppError `alarm-unknown`, `alarm-shelved`, `alarm-out-of-service`; `request-invalid` for longer than its priority allows
   */
  shelve(deed: Deed & { readonly minutes: number; readonly reason: string }): AlarmTransition;
  /** @throws AppError `alarm-unknown`, `alarm-not-shelved` */
  unshelve(deed: Deed): AlarmTransition;
  /** Keeps it silent until it is put back. @throws AppError `alarm-unknown`, `alarm-out-of-service` */
  takeOutOfService(deed: Deed & { readonly reason: string }): AlarmTransition;
  /** @throws AppError `alarm-unknown`, `alarm-in-service` */
  putInService(deed: Deed): AlarmTransition;
  /** Most urgent first, then unacknowledged before returned and acknowledged, then the oldest. */
  standing(): readonly StandingAlarm[];
  /** What is kept silent, and why. */
  suppressed(): readonly SuppressedAlarm[];
  /** What to sound: the highest priority among alarms that nobody has acknowledged. One that has returned is silent, unless it latches. */
  annunciation(): Priority | null;
  /** Whether the output pin should be active: an urgent alarm waits for a person, even one that has returned since. */
  pinWanted(): boolean;
  /** The alarms are set otherwise from now on. Their states and delays go on; ids stay the same. */
  redefine(definitions: readonly AlarmDefinition[]): void;
  /**
   * After a restart: the alarms take up the state they were last in, so an acknowledged one is not sounded again and an
   * unacknowledged one still waits. Takes the journal's transitions, oldest first: of each alarm the last "raised", which
   * gives the time, the words and the order of age, and the last of all, which gives the state. Where the "raised" is
   * missing the last must do for both; more of them do no harm. Those of alarms no longer defined are passed over.
   * @param takenUp what there is to know of those that are suppressed; a shelf that is not among them ends at once
   * @param now how long one has been acknowledged is counted on from here, as the wall clock has it; without it, anew
   */
  restore(
    lastTransitions: readonly AlarmTransition[],
    takenUp?: ReadonlyMap<string, TakenUp>,
    now?: Instant | null,
  ): void;
  /**
   * The same, where the journal answers only later: an alarm that has changed since keeps the state it is in.
   */
  restoreResting(
    lastTransitions: readonly AlarmTransition[],
    now: Instant,
    takenUp?: ReadonlyMap<string, TakenUp>,
  ): TakenUpLate;
  /** The wall times of these became known: the clock has been set since. */
  placed(lastTransitions: readonly AlarmTransition[]): void;
}

type Origin = Pick<AlarmTransition, "run" | "by"> & { readonly now: Instant };

/** A step is taken again until it changes nothing: off a shelf, and raised. No alarm goes through more states at one moment. */
const MOST_STEPS = 4;

/** @param startId id of this start of the station, unique over the life of the journal: transition ids are built on it */
export function createAlarmDesk(
  defined: readonly AlarmDefinition[],
  { startId }: { readonly startId: string },
): AlarmDesk {
  let definitions = defined;
  const posts = new Map<string, Post>(definitions.map((definition) => [definition.id, idle(definition)]));
  let rules: RuleMemory | null = null;
  let looked: Looked | null = null;
  /** Of every alarm that has changed in this start: whether it was only suppressed by design, or not any more. */
  const onlyByDesign = new Map<string, boolean>();
  let issued = 0;
  let raisings = 0;

  function apply(post: Post, change: Change, { now, run, by }: Origin): AlarmTransition {
    issued += 1;
    if (change.transition === "raised") {
      raisings += 1;
      post.raisedOrder = raisings;
      post.raised = now;
      post.raisedMono = now.mono;
    }
    if (change.transition === "suppressed") {
      post.heldBack = { by: null, reason: change.detail, since: now, latestEndWall: null };
    }
    const { id, kind, title, priority } = post.definition;
    const byDesign = change.transition === "suppressed" || change.transition === "unsuppressed";
    onlyByDesign.set(id, byDesign && (onlyByDesign.get(id) ?? true));
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

  function found(alarmId: string): Post {
    const post = posts.get(alarmId);
    if (post !== undefined) return post;
    throw new AppError(
      "alarm-unknown",
      `No alarm is called "${alarmId}". Reload the page to see those there are.`,
    );
  }

  /** @param refusal said where there is nothing to be done */
  function done(
    deed: Deed,
    act: (post: Post) => Stepped,
    refusal: (post: Post) => AppError,
  ): AlarmTransition {
    const post = found(deed.alarm);
    const { memory, transition } = act(post);
    if (transition === null) throw refusal(post);
    post.memory = memory;
    return apply(post, transition, deed);
  }

  function restore(
    lastTransitions: readonly AlarmTransition[],
    takenUp: ReadonlyMap<string, TakenUp> = new Map(),
    now: Instant | null = null,
  ): void {
    const nextOrder = () => {
      raisings += 1;
      return raisings;
    };
    takeUp(posts, lastTransitions, takenUp, nextOrder, now);
  }

  return {
    update(picture) {
      rules = remember(rules, picture);
      looked = { now: picture.now, clock: picture.clock, sinceMono: rules.sinceMono };
      const seen = observe(definitions, picture, rules);
      const origin: Origin = { now: picture.now, run: picture.run?.id ?? null, by: null };
      const transitions: AlarmTransition[] = [];
      for (const [id, post] of posts) {
        const observation = seen.get(id);
        if (observation === undefined) continue;
        shortenShelf(post, looked);
        // What is raised unseen, off a shelf, is told in the words of when it was seen.
        const unseen = observation.presence !== "present" && post.detail !== "";
        for (let steps = 0; steps < MOST_STEPS; steps += 1) {
          const { memory, transition } = step(post.memory, post.definition, observation, picture.now);
          post.memory = memory;
          if (transition === null) break;
          const beneath =
            transition.transition === "raised" && unseen && transition.detail === observation.detail;
          transitions.push(
            apply(post, beneath ? { ...transition, detail: post.detail } : transition, origin),
          );
        }
        const chatters = tellsOfChatter(post, picture.now);
        if (chatters !== null) transitions.push(apply(post, chatters, origin));
        if (tellsOfTheAlarm(observation.presence, post.memory.state)) post.detail = observation.detail;
      }
      return transitions;
    },

    acknowledge(alarm, by, now, run) {
      return done(
        { alarm, by, now, run },
        ({ memory, detail }) => acknowledge(memory, detail),
        refusalToAcknowledge,
      );
    },

    reset(deed) {
      return done(deed, ({ memory, detail }) => reset(memory, detail), refusalToReset);
    },

    shelve(deed) {
      const { minutes, reason, by, now } = deed;
      const { priority, title } = found(deed.alarm).definition;
      const most = LONGEST_SHELF_MIN[priority];
      if (!(minutes > 0 && minutes <= most)) throw refusals.tooLong(title, priority, most);
      const until = now.mono + minutes * 60_000;
      const transition = done(
        deed,
        ({ memory }) => shelve(memory, until, `For ${minutes} min: ${reason}`),
        refusals.shelve,
      );
      found(deed.alarm).heldBack = { by, reason, since: now, latestEndWall: null };
      return transition;
    },

    unshelve(deed) {
      return done(deed, ({ memory }) => unshelve(memory, "Before its time was over"), refusals.unshelve);
    },

    takeOutOfService(deed) {
      const { reason, by, now } = deed;
      const transition = done(deed, ({ memory }) => takeOutOfService(memory, reason), refusals.outOfService);
      found(deed.alarm).heldBack = { by, reason, since: now, latestEndWall: null };
      return transition;
    },

    putInService(deed) {
      return done(deed, ({ memory }) => putInService(memory, ""), refusals.inService);
    },

    standing: () => standingOf(posts.values(), looked),
    suppressed: () => suppressedOf(posts.values(), looked),

    annunciation: () => priorityToSound(posts.values()),
    pinWanted: () => urgentWaits(posts.values()),

    redefine(redefined) {
      definitions = redefined.filter(({ id }) => posts.has(id));
      for (const definition of definitions) found(definition.id).definition = definition;
    },

    restore,

    placed(lastTransitions) {
      for (const { alarm, wall, mono } of lastTransitions) {
        const post = posts.get(alarm);
        if (post?.raisedMono === mono) post.raised = { ...post.raised, wall };
        if (post?.heldBack?.since.mono === mono) {
          post.heldBack = { ...post.heldBack, since: { wall, mono } };
        }
      }
    },

    restoreResting(lastTransitions, now, takenUp) {
      const before = unchangedSince(posts, lastTransitions, onlyByDesign);
      restore(
        lastTransitions.filter(({ alarm }) => before.has(alarm)),
        takenUp,
        now,
      );
      const kept = [...before].flatMap(([alarm, from]) => {
        if (!onlyByDesign.has(alarm)) return [];
        const { state: to } = found(alarm).memory;
        const change = { transition: "unsuppressed", from, to, detail: AS_IT_WAS } as const;
        return [apply(found(alarm), change, { now, run: null, by: null })];
      });
      return { kept, alarms: new Set(before.keys()) };
    },
  };
}

const AS_IT_WAS = "As it was before the station started";

/** People read what the alarm is about, so the last words while its condition was there stay when it has gone. */
function tellsOfTheAlarm(presence: Presence, state: AlarmState): boolean {
  return presence === "present" && state !== "normal";
}
