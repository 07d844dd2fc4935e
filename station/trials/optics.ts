import type { Clock, ClockState, Instant } from "../model/instant.js";
import type { OpticsView } from "../model/now.js";
import { type Kept, keptWithin } from "./kept.js";

const OPTICS_CLEANED = "optics-cleaned";
const HOUR_MS = 3_600_000;

/** When the optics were cleaned; `mono` counts within that boot. */
export interface Cleaning {
  readonly wall: number;
  readonly mono: number;
  readonly bootId: string;
}

/** A moment of some boot, and what was known of the wall clock then. */
export interface ClockedMoment extends Instant {
  readonly bootId: string;
  readonly clock: ClockState;
}

export interface Optics {
  /** Marks the optics as cleaned now. */
  cleaned(note?: string): Promise<Kept<OpticsView>>;
  /** Takes up what the journal has said of the starts before, if it says so only now. */
  takeUp(last: Cleaning | null): void;
  /** The wall time of the last cleaning became known: the clock has been set since. */
  placed(last: Cleaning | null): void;
  lastCleaning(): Cleaning | null;
  view(): OpticsView;
  /** As `hoursSince`, of the last cleaning and a moment of this start. */
  hoursAt(now: Instant): number | null;
}

/**
 * Hours from a cleaning to a moment, by monotonic time within one boot, else by the wall clock: the machine was off between.
 * Never negative; null if never cleaned, or where a clock that was not set cannot tell.
 */
export function hoursSince(last: Cleaning | null, at: ClockedMoment): number | null {
  if (last === null) return null;
  if (last.bootId === at.bootId) return Math.max(0, at.mono - last.mono) / HOUR_MS;
  return at.clock === "not synchronised" ? null : Math.max(0, at.wall - last.wall) / HOUR_MS;
}

/** When the optics were last cleaned: dirty optics pass for a worse material. */
export function createOptics(parts: {
  readonly clock: Clock;
  readonly lastCleaning: Cleaning | null;
  readonly keep: (done: { kind: string; at: Instant; note: string }) => Promise<void>;
  readonly changed: () => void;
}): Optics {
  const { clock } = parts;
  let last = parts.lastCleaning;

  const hoursAt = (now: Instant) => hoursSince(last, { ...now, bootId: clock.bootId, clock: clock.state() });
  const view = (): OpticsView => {
    const hours = hoursAt(clock.now());
    return { cleanedWall: last?.wall ?? null, agoMs: hours === null ? null : hours * HOUR_MS };
  };

  return {
    cleaned(note = "") {
      const at = clock.now();
      last = { ...at, bootId: clock.bootId };
      const answer = view();
      parts.changed();
      const kept = parts.keep({ kind: OPTICS_CLEANED, at, note });
      return keptWithin(
        kept.then(() => answer),
        answer,
      );
    },
    takeUp(known) {
      last ??= known;
    },
    placed(known) {
      // It may have been cleaned again since the journal was asked.
      if (known !== null && known.bootId === last?.bootId && known.mono === last.mono) last = known;
    },
    lastCleaning: () => last,
    view,
    hoursAt,
  };
}

/** Asks the journal when the optics were last cleaned. */
export async function lastOpticsCleaning(journal: {
  lastMaintenance(kind: string): Promise<Cleaning | null>;
}): Promise<Cleaning | null> {
  return journal.lastMaintenance(OPTICS_CLEANED);
}
