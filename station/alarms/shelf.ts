import type { KeptShelf } from "../model/alarm-setting.js";
import type { ClockState, Instant } from "../model/instant.js";

/**
 * A shelf has an end, whatever the clock says and however often the station restarts. Within a boot its time is that of the
 * monotonic clock. In another boot it goes on with what was left when the last reading was taken, since how long the station
 * was off is not known: so it may be late by that, and never by more than it had left. A wall clock that is synchronised, as
 * it was when the alarm was shelved, ends it sooner; one that nobody has set neither ends nor lengthens it.
 */

/** @param kept as it was shelved, of what was left at that moment */
export function shelfOf(
  { minutes, reason, by }: Pick<KeptShelf, "minutes" | "reason" | "by">,
  { now, clock, bootId }: { readonly now: Instant; readonly clock: ClockState; readonly bootId: string },
): KeptShelf {
  return { minutes, reason, by, wall: now.wall, clock, leftMs: minutes * 60_000, mono: now.mono, bootId };
}

export interface ShelfAgain {
  /** `mono` of this boot at which it ends. */
  readonly shelvedUntil: number;
  /** Wall milliseconds at which it ends at the latest, once the clock is known to be right; null where that cannot be told. */
  readonly latestEndWall: number | null;
  /** To be kept in the place of the old one, so that the next start goes on from here. */
  readonly kept: KeptShelf;
}

/** @param lastMonoThere `mono` of the last reading in the boot the shelf is from; null where there is none */
export function takeUpShelf(
  kept: KeptShelf,
  here: { readonly mono: number; readonly bootId: string },
  lastMonoThere: number | null,
): ShelfAgain {
  const sameBoot = kept.bootId === here.bootId;
  const until = sameBoot ? here.mono : Math.max(kept.mono, lastMonoThere ?? kept.mono);
  const most = kept.minutes * 60_000;
  const leftMs = Math.min(most, kept.leftMs - Math.max(0, until - kept.mono));
  return {
    shelvedUntil: here.mono + leftMs,
    latestEndWall: !sameBoot && kept.clock === "synchronised" ? kept.wall + most : null,
    kept: { ...kept, leftMs, mono: here.mono, bootId: here.bootId },
  };
}
