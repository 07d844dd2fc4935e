import type { Journal } from "../journal/journal.js";
import type { EmergencyFacts } from "../model/emergency.js";
import { emergencySchema } from "../model/emergency-schema.js";
import type { Clock } from "../model/instant.js";
import { type Kept, keptWithin } from "../trials/kept.js";

/** Under which the journal keeps them. */
const SUBJECT = "safety";
const PATH = "emergency";

export interface EmergencyParts {
  readonly clock: Clock;
  readonly journal: Pick<Journal, "lastSetting" | "settingChanged">;
}

export interface EmergencyRecord {
  facts(): Promise<EmergencyFacts>;
  put(next: EmergencyFacts, by: string | null): Promise<Kept<EmergencyFacts>>;
}

/** The numbers that the owner filled in; what they were before is in the journal's changes of settings. */
export function createEmergencyRecord({ clock, journal }: EmergencyParts): EmergencyRecord {
  const facts = async (): Promise<EmergencyFacts> => {
    const kept = emergencySchema.safeParse((await journal.lastSetting(SUBJECT, PATH))?.value);
    return kept.success ? kept.data : {};
  };
  return {
    facts,
    async put(next, by) {
      const change = { subject: SUBJECT, path: PATH, old: await facts(), new: next, at: clock.now(), by };
      return keptWithin(
        journal.settingChanged(change).then(() => next),
        next,
      );
    },
  };
}
