import type { AlarmDefinition } from "../model/alarm.js";
import type { ClockState, Instant } from "../model/instant.js";
import { isChattering } from "./chatter.js";
import { type AlarmMemory, AT_REST, type Change, isSuppressed } from "./machine.js";

/** Since when something is so: `mono` where that was in this start of the station, and the wall clock for people. */
export interface Since {
  readonly wall: number;
  /** Milliseconds; null where it was in an earlier start, whose monotonic clock may have been another. */
  readonly mono: number | null;
}

/** Why an alarm is suppressed, and by whom. */
export interface HeldBack {
  readonly by: string | null;
  readonly reason: string;
  readonly since: Since;
  /**
   * Of a shelf from an earlier boot: the latest end by the wall clock it was put there with, and which is believed only once
   * the clock of this boot is synchronised. Null else.
   */
  readonly latestEndWall: number | null;
}

/** What the desk holds of one alarm. */
export interface Post {
  definition: AlarmDefinition;
  memory: AlarmMemory;
  raised: Since;
  /** As the journal has it, whichever start that was in: by this it is found when its wall time becomes known. */
  raisedMono: number;
  /** Counts the raisings, so that "oldest" holds when the wall clock is set. */
  raisedOrder: number;
  detail: string;
  heldBack: HeldBack | null;
  /** Has been told of as chattering. */
  chatters: boolean;
}

/** The moment a desk last looked. */
export interface Looked {
  readonly now: Instant;
  readonly clock: ClockState;
  /** `mono` of the first look of this start. */
  readonly sinceMono: number;
}

export function idle(definition: AlarmDefinition): Post {
  const raised = { wall: 0, mono: null };
  return {
    ...{ definition, memory: AT_REST, raised, raisedMono: 0, raisedOrder: 0 },
    ...{ detail: "", heldBack: null, chatters: false },
  };
}

/**
 * How long ago, milliseconds ≥ 0. Of an earlier start the wall clock says it where it may be believed; where not, at least
 * the time since this start.
 */
export function agoMs({ wall, mono }: Since, { now, clock, sinceMono }: Looked): number {
  if (mono !== null) return Math.max(0, now.mono - mono);
  const here = Math.max(0, now.mono - sinceMono);
  return clock === "not synchronised" ? here : Math.max(here, now.wall - wall);
}

/** A shelf from an earlier boot ends by the wall clock at the latest, from when on that may be believed. */
export function shortenShelf(post: Post, { now, clock }: Looked): void {
  const { heldBack, memory } = post;
  if (memory.shelvedUntil === null || heldBack?.latestEndWall == null || clock !== "synchronised") return;
  const until = Math.min(memory.shelvedUntil, now.mono + heldBack.latestEndWall - now.wall);
  post.memory = { ...memory, shelvedUntil: until };
  post.heldBack = { ...heldBack, latestEndWall: null };
}

/** Said once, when a standing alarm begins to chatter. */
export function tellsOfChatter(post: Post, { mono }: Instant): Change | null {
  const { memory, detail } = post;
  const begins =
    isChattering(memory.chatter, mono) && !isSuppressed(memory.state) && memory.state !== "normal";
  const told = post.chatters;
  post.chatters = begins;
  return begins && !told ? { transition: "chattering", from: memory.state, to: memory.state, detail } : null;
}
