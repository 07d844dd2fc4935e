import { setTimeout as pause } from "node:timers/promises";
import { AppError } from "../errors.js";
import type { Journal } from "../journal/journal.js";
import type { EmergencyFacts } from "../model/emergency.js";
import { emergencySchema } from "../model/emergency-schema.js";
import type { Clock } from "../model/instant.js";
import { type Kept, keptWithin } from "../trials/kept.js";

/** Under which the journal keeps them. */
const SUBJECT = "safety";
const PATH = "emergency";

/** Longest that a page waits for them while the disk has not told them yet. */
const ANSWER_WITHIN_MS = 2_000;

export interface EmergencyParts {
  readonly clock: Pick<Clock, "now">;
  readonly journal: Pick<Journal, "lastSetting" | "settingChanged">;
  /** Milliseconds; default 2 s. */
  readonly answerWithinMs?: number;
}

export interface EmergencyRecord {
  /** From memory once they are known. @throws AppError `emergency-unknown` where the disk has not told them yet */
  facts(): Promise<EmergencyFacts>;
  /** In force at once; they go back to what they were where the journal refuses them, which is thrown. */
  put(next: EmergencyFacts, by: string | null): Promise<Kept<EmergencyFacts>>;
}

/**
 * The numbers that the owner filled in; what they were before is in the journal's changes of settings. They are asked of the journal
 * at the start and held in memory, so that they are there while the disk hangs.
 */
export function createEmergencyRecord(parts: EmergencyParts): EmergencyRecord {
  const { clock, journal, answerWithinMs = ANSWER_WITHIN_MS } = parts;
  /** What the journal has told, and what somebody has filled in since; null for nothing yet. */
  let told: EmergencyFacts | null = null;
  let filledIn: EmergencyFacts | null = null;
  let asking: Promise<EmergencyFacts | null> | null = null;

  /** What the journal has; null where it could not tell, and is to be asked again. */
  const recall = (): Promise<EmergencyFacts | null> => {
    asking ??= journal.lastSetting(SUBJECT, PATH).then(
      (last) => {
        const kept = emergencySchema.safeParse(last?.value);
        told = kept.success ? kept.data : {};
        return told;
      },
      () => {
        asking = null;
        return null;
      },
    );
    return asking;
  };
  void recall();

  return {
    async facts() {
      const known = () => filledIn ?? told;
      if (known() === null) await Promise.race([recall(), pause(answerWithinMs, null, { ref: false })]);
      const facts = known();
      if (facts !== null) return facts;
      throw new AppError(
        "emergency-unknown",
        "The disk has not told the station yet what was filled in. Go by the paper beside the machine, and try again in a minute.",
      );
    },
    async put(next, by) {
      const before = filledIn;
      const at = clock.now();
      filledIn = next;
      const keeping = (before === null ? recall() : Promise.resolve(before))
        .then((old) => journal.settingChanged({ subject: SUBJECT, path: PATH, old, new: next, at, by }))
        .then(() => next);
      keeping.catch(() => {
        if (filledIn === next) filledIn = before;
      });
      return keptWithin(keeping, next, answerWithinMs);
    },
  };
}
