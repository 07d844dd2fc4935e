import type { Clock, Instant } from "../model/instant.js";

const OPTICS_CLEANED = "optics-cleaned";
const HOUR_MS = 3_600_000;

export interface Optics {
  /** Marks the optics as cleaned now; resolves once that is on the disk. */
  cleaned(): Promise<{ cleanedWall: number }>;
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
    async cleaned() {
      const at = parts.clock.now();
      await parts.keep({ kind: OPTICS_CLEANED, at, note: "" });
      cleanedWall = at.wall;
      parts.changed();
      return { cleanedWall: at.wall };
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
