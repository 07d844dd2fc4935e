import type { AlarmState, AlarmTransition } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { settled } from "./machine.js";
import type { HeldBack, Post } from "./post.js";

/** What is taken up again of a suppressed alarm after a restart; its state comes with the transitions. */
export interface TakenUp extends HeldBack {
  /** `mono` of this boot at which its shelf ends; null where it is on none. */
  readonly shelvedUntil: number | null;
}

/** What was told late of alarms, by a journal that answered only some time after the start. */
export interface TakenUpLate {
  /** What is to be kept of those that were suppressed meanwhile, or the next start would take them for suppressed. */
  readonly kept: readonly AlarmTransition[];
  /** The alarms that were taken up: those that had not changed since the start. */
  readonly alarms: ReadonlySet<string>;
}

/**
 * Puts the posts into the states that these transitions led to.
 * @param nextOrder the number of the next raising
 * @param now from when a restart does not begin anew how long one has been acknowledged, by the wall clock, which goes on while the
 * station is off; null where that is not known, and it begins anew
 */
export function takeUp(
  posts: ReadonlyMap<string, Post>,
  lastTransitions: readonly AlarmTransition[],
  takenUp: ReadonlyMap<string, TakenUp>,
  nextOrder: () => number,
  now: Instant | null,
): void {
  const raised = new Set<string>();
  for (const told of lastTransitions) {
    const post = posts.get(told.alarm);
    if (post === undefined) continue;
    const again = takenUp.get(told.alarm);
    post.memory = settled(told.to);
    if (told.to === "shelved") post.memory = { ...post.memory, shelvedUntil: again?.shelvedUntil ?? null };
    if (told.to === "acknowledged" && now !== null) {
      const acknowledgedSince = now.mono - Math.max(0, now.wall - told.wall);
      post.memory = { ...post.memory, acknowledgedSince };
    }
    const since = { wall: told.wall, mono: null };
    post.heldBack = again ?? { by: told.by, reason: told.detail, since, latestEndWall: null };
    if (told.transition === "raised") raised.add(told.alarm);
    else if (raised.has(told.alarm)) continue;
    post.raisedOrder = nextOrder();
    post.raised = since;
    post.raisedMono = told.mono;
    post.detail = told.detail;
  }
}

/**
 * Of these alarms the ones that have not changed since the start, with the state they are in now. To be suppressed by design is
 * no change here: it must not take what somebody still has to see from the list, and the next picture decides anew.
 * @param onlyByDesign of every alarm that has changed in this start: whether it was only suppressed by design
 */
export function unchangedSince(
  posts: ReadonlyMap<string, Post>,
  lastTransitions: readonly AlarmTransition[],
  onlyByDesign: ReadonlyMap<string, boolean>,
): ReadonlyMap<string, AlarmState> {
  const states = new Map<string, AlarmState>();
  for (const [alarm, state] of new Map(lastTransitions.map(({ alarm, to }) => [alarm, to]))) {
    const post = posts.get(alarm);
    if (post === undefined || onlyByDesign.get(alarm) === false) continue;
    if (post.memory.state === "suppressed-by-design" && RESTS.includes(state)) continue;
    states.set(alarm, post.memory.state);
  }
  return states;
}

/** Nothing that suppression by design could hide. */
const RESTS: readonly AlarmState[] = ["normal", "suppressed-by-design"];
