import type { Clock, Instant } from "../model/instant.js";
import { type Kept, keptWithin } from "./kept.js";

const OPTICS_CLEANED = "optics-cleaned";
const HOUR_MS = 3_600_000;

export interface Optics {
  /** Marks the optics as cleaned now. */
  cleaned(): Promise<Kept<{ cleanedWall: number }>>;
  /** Takes up what the journal has said of the starts before, if it says so only now. */
  takeUp(lastCleanedWall: number | null): void;
  /** Null if never. */
  cleanedWall(): number | null;
  /** Hours since then by the wall clock: the machine may have been off between. Never negative, null if never. */
  hoursAt(now: Instant): number | null;
}

/** When the optics were last cleaned: dirty optics pass for a worse material. */
export function createOptics(parts: {
  readonly clock: Clock;
  readonly lastCleanedWall: number | null;
  readonly keep: (done: { kind: string; at: Instant; note: string }) => Promise<void>;
  readonly changed: () => void;
}): Optics {
  let cleanedWall = parts.lastCleanedWall;
  return {
    cleaned() {
      const at = parts.clock.now();
      const answer = { cleanedWall: at.wall };
      cleanedWall = at.wall;
      parts.changed();
      const kept = parts.keep({ kind: OPTICS_CLEANED, at, note: "" });
      return keptWithin(
        kept.then(() => answer),
        answer,
      );
    },
    takeUp(lastCleanedWall) {
      cleanedWall ??= lastCleanedWall;
    },
    cleanedWall: () => cleanedWall,
    hoursAt: (now) => (cleanedWall === null ? null : Math.max(0, now.wall - cleanedWall) / HOUR_MS),
  };
}

/** Asks the journal when the optics were last cleaned. */
export async function lastOpticsCleaning(journal: {
  lastMaintenance(kind: string): Promise<{ readonly wall: number } | null>;
}): Promise<number | null> {
  return (await journal.lastMaintenance(OPTICS_CLEANED))?.wall ?? null;
}
