import type { FireWatchView } from "../model/after-cut.js";
import type { ClockState, Instant } from "../model/instant.js";

/**
 * The length of the watch where the owner sets none, minutes: a fire watch of at least half an hour is what 29 CFR 1910.252(a)(2)(iii)(B)
 * asks of welding and cutting (from memory); NFPA 51B, 2019 edition, asks for an hour (from memory). Nobody publishes one for a
 * small laser. How often to look is common practice, without a source.
 */
export const FIRE_WATCH_MIN = 30;
export const LOOK_EVERY_MIN = 10;

/** From being due, a look that was not made is of priority high, and then urgent, after so many seconds. This station's choice, no source. */
export const LATE_S = 120;
export const MISSED_S = 300;

/** A watch may be begun by hand for so long after a cut, minutes. */
const OFFERED_MIN = 30;

export interface FireWatchRules {
  /** 0 for no watch at all. */
  readonly lengthMin: number;
  readonly lookEveryMin: number;
}

/** A moment that may lie in another boot: `mono` milliseconds count within its own. */
export interface Moment extends Instant {
  readonly bootId: string;
}

/** What a watch stands on; all of it is in the journal. */
export interface FireWatchMemory {
  /** When the last cut ended that it goes by. */
  readonly ended: Moment;
  readonly material: string;
  readonly looks: number;
  readonly lastLook: Moment | null;
}

export interface CutEnded {
  readonly ended: Moment;
  readonly material: string;
  readonly smoulders: boolean;
}

/**
 * After a cut. One of stock that smoulders begins the watch; any other within a watch begins it again, for what lay on the bed then has
 * been heated once more, and keeps what was cut in mind.
 */
export function watchAfter(
  before: FireWatchMemory | null,
  { ended, material, smoulders }: CutEnded,
): FireWatchMemory | null {
  if (smoulders) return { ended, material, looks: 0, lastLook: null };
  return before === null ? null : { ...before, ended, looks: 0, lastLook: null };
}

/** Somebody has looked. @returns null where that was the last look of the watch */
export function lookedAt(
  memory: FireWatchMemory,
  at: Moment,
  clock: ClockState,
  rules: FireWatchRules,
): FireWatchMemory | null {
  if (sinceMs(memory.ended, at, clock) >= rules.lengthMin * 60_000) return null;
  return { ...memory, looks: memory.looks + 1, lastLook: at };
}

export interface FireWatchFacts {
  readonly now: Moment;
  readonly clock: ClockState;
  readonly cutting: boolean;
  /** Minutes since the last cut ended; null where there was none. */
  readonly sinceCutMin: number | null;
}

/**
 * Half an hour of looking, in stretches. The last look is due when the watch ends, and without it the watch is not over. It is a watch of
 * a machine that has stopped: while one cuts, somebody stays with it in any case, and no look is asked for.
 */
export function viewFireWatch(
  memory: FireWatchMemory | null,
  { now, clock, cutting, sinceCutMin }: FireWatchFacts,
  rules: FireWatchRules,
): FireWatchView {
  if (memory === null || rules.lengthMin === 0) {
    const offered = !cutting && rules.lengthMin > 0 && sinceCutMin !== null && sinceCutMin < OFFERED_MIN;
    return {
      ...{ state: "none", leftS: 0, lookInS: 0, looks: 0, material: "", offered },
      text: offered
        ? "If that was wood, board, card or leather, keep a watch for fire."
        : "No watch for fire is under way.",
    };
  }
  const { material, looks, lastLook } = memory;
  const lengthMs = rules.lengthMin * 60_000;
  if (cutting) {
    return {
      ...{ state: "cutting", leftS: lengthMs / 1000, lookInS: 0, looks: 0, material, offered: false },
      text: "The watch for fire begins again when this cut ends. Stay with the machine while it cuts.",
    };
  }
  const passedMs = sinceMs(memory.ended, now, clock);
  const lookedMs = lastLook === null ? 0 : Math.max(0, passedMs - sinceMs(lastLook, now, clock));
  const dueMs = Math.min(lengthMs, lookedMs + rules.lookEveryMin * 60_000);
  const leftS = Math.max(0, Math.ceil((lengthMs - passedMs) / 1000));
  const lookInS = Math.ceil((dueMs - passedMs) / 1000);
  const what = material === "" ? "what was cut" : material;
  return {
    ...{ state: "watching", leftS, lookInS, looks, material, offered: false },
    text:
      lookInS <= 0
        ? `Look at the bed and the tray now: ${what} can smoulder unseen.`
        : `Stay near: ${what} can smoulder unseen and flare up later.`,
  };
}

/** How urgent a look has become: 0 not due, 1 due, 2 late, 3 missed. */
export function lookLevel({ state, lookInS }: FireWatchView): 0 | 1 | 2 | 3 {
  if (state !== "watching" || lookInS > 0) return 0;
  if (-lookInS < LATE_S) return 1;
  return -lookInS < MISSED_S ? 2 : 3;
}

/**
 * Milliseconds from one moment to another: by the monotonic clock within a boot, else by the wall clock where that may be believed.
 * Where neither tells it is 0: the watch is then held from its beginning, which only makes it longer.
 */
function sinceMs(from: Moment, to: Moment, clock: ClockState): number {
  if (from.bootId === to.bootId) return Math.max(0, to.mono - from.mono);
  return clock === "not synchronised" ? 0 : Math.max(0, to.wall - from.wall);
}
