import type { Log } from "../log.js";
import type { AlarmTransition } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { type Kept, keptWithin } from "../trials/kept.js";
import type { AlarmDesk } from "./desk.js";

export interface AnnouncerParts {
  readonly desk: Pick<AlarmDesk, "acknowledge">;
  readonly now: () => Instant;
  /** The open run, if any. */
  readonly run: () => string | null;
  /** Brings the sound and the output pin to what the desk wants. */
  readonly annunciate: () => void;
  /** Tells the pages. */
  readonly tell: () => void;
  readonly keep: (transition: AlarmTransition) => Promise<void>;
  readonly failed: (error: unknown) => void;
  readonly log: Log;
}

export interface Announcer {
  /** Makes changes of state known: at once to the pin and the pages, and then to the journal. */
  announce(transitions: readonly AlarmTransition[]): void;
  /** @throws AppError `alarm-unknown`, `alarm-not-standing`, `alarm-already-acknowledged` */
  acknowledge(alarm: string, by: string): Promise<Kept<unknown>>;
}

/** An alarm is out before the disk has heard of it; whoever acknowledges one is told whether that is kept. */
export function createAnnouncer(parts: AnnouncerParts): Announcer {
  const out = ({ transition, detail, alarm }: AlarmTransition) => {
    parts.log(transition === "raised" ? "warn" : "info", `alarm ${transition}: ${detail}`, { alarm });
  };
  return {
    announce(transitions) {
      parts.annunciate();
      parts.tell();
      for (const transition of transitions) {
        out(transition);
        parts.keep(transition).catch(parts.failed);
      }
    },
    acknowledge(alarm, by) {
      const transition = parts.desk.acknowledge(alarm, by, parts.now(), parts.run());
      parts.annunciate();
      parts.tell();
      out(transition);
      return keptWithin<unknown>(parts.keep(transition), null);
    },
  };
}
