import type { CheckListId } from "../model/caution.js";
import type { ClockState, Instant } from "../model/instant.js";

/** A moment that may lie in another boot: `mono` milliseconds count within its own. */
export interface Moment extends Instant {
  readonly bootId: string;
}

export interface CheckListFacts {
  readonly now: Moment;
  readonly clock: ClockState;
  /** The day that a wall time lies in, where the shop stands: "2026-11-27". */
  readonly dayOf: (wall: number) => string;
  /** When each was last gone through; null if never. */
  readonly done: Readonly<Record<CheckListId, Moment | null>>;
  readonly runOpen: boolean;
  /** `mono` of the end of this start's last run, milliseconds; null where there was none. */
  readonly lastEndMono: number | null;
}

/** What passes for a day where no clock tells, and the quiet after which a cut may have been the last; this station's choice, no source. */
const DAY_MS = 12 * 3_600_000;
const QUIET_MS = 30 * 60_000;

/**
 * Before the first cut: as long as it has not been gone through on this day. After the last: once half an hour has passed since a cut,
 * until it is gone through or the next cut begins; nobody knows which cut is the last.
 */
export function isDue(id: CheckListId, facts: CheckListFacts): boolean {
  const { now, runOpen, lastEndMono } = facts;
  const done = facts.done[id];
  if (id === "before-first-cut") return done === null || !isToday(done, facts);
  if (runOpen || lastEndMono === null || now.mono - lastEndMono < QUIET_MS) return false;
  return done === null || done.bootId !== now.bootId || done.mono < lastEndMono;
}

/** By the calendar where the clock is known to be set, or may be; else within twelve hours of this boot. */
function isToday(done: Moment, { now, clock, dayOf }: CheckListFacts): boolean {
  if (clock !== "not synchronised") return done.wall <= now.wall && dayOf(done.wall) === dayOf(now.wall);
  return done.bootId === now.bootId && now.mono - done.mono < DAY_MS;
}
