import type { Log } from "../log.js";
import type { AlarmTransition } from "../model/alarm.js";
import type { Instant } from "../model/instant.js";
import { type Kept, keptWithin } from "../trials/kept.js";
import type { AlarmDesk, Deed } from "./desk.js";

export interface AnnouncerParts {
  readonly desk: Pick<
    AlarmDesk,
    "acknowledge" | "reset" | "shelve" | "unshelve" | "takeOutOfService" | "putInService"
  >;
  readonly now: () => Instant;
  /** The open run, if any. */
  readonly run: () => string | null;
  /** Brings the sound and the output pin to what the desk wants. */
  readonly annunciate: () => void;
  /** Tells the pages. */
  readonly tell: () => void;
  /** Tells those who are not in the shop, after the pages. */
  readonly tellOutward: (transitions: readonly AlarmTransition[]) => void;
  readonly keep: (transition: AlarmTransition) => Promise<void>;
  /** Keeps for how long and why, and resolves once that is on the disk; before the transition, which means nothing without it. */
  readonly keepShelf: (alarm: string, shelf: ShelfTold, now: Instant) => Promise<void>;
  readonly keepOutOfService: (alarm: string, told: ReasonTold, now: Instant) => Promise<void>;
  readonly failed: (error: unknown) => void;
  readonly log: Log;
}

export interface ReasonTold {
  readonly reason: string;
  readonly by: string;
}
export interface ShelfTold extends ReasonTold {
  readonly minutes: number;
}

export interface Announcer {
  /** Makes changes of state known: at once to the pin and the pages, and then to the journal. */
  announce(transitions: readonly AlarmTransition[]): void;
  /** @throws AppError `alarm-unknown`, `alarm-not-standing`, `alarm-already-acknowledged` */
  acknowledge(alarm: string, by: string): Promise<Kept<unknown>>;
  /** What else people do: each is done at once. @throws AppError as the desk */
  reset(alarm: string, by: string): Promise<Kept<unknown>>;
  shelve(alarm: string, told: ShelfTold): Promise<Kept<unknown>>;
  unshelve(alarm: string, by: string): Promise<Kept<unknown>>;
  takeOutOfService(alarm: string, told: ReasonTold): Promise<Kept<unknown>>;
  putInService(alarm: string, by: string): Promise<Kept<unknown>>;
}

/** An alarm is out before the disk has heard of it; whoever acknowledges one is told whether that is kept. */
export function createAnnouncer(parts: AnnouncerParts): Announcer {
  const { desk } = parts;
  const out = ({ transition, detail, alarm }: AlarmTransition) => {
    const loud = transition === "raised" || transition === "re-alarmed";
    parts.log(loud ? "warn" : "info", `alarm ${transition}: ${detail}`, { alarm });
  };

  async function done(
    alarm: string,
    by: string,
    act: (deed: Deed) => AlarmTransition,
    before: (now: Instant) => Promise<void> | null = () => null,
  ): Promise<Kept<unknown>> {
    const deed = { alarm, by, now: parts.now(), run: parts.run() };
    const transition = act(deed);
    parts.annunciate();
    parts.tell();
    out(transition);
    // Both are asked for at once, and carried out in this order.
    const first = before(deed.now);
    const keeping = Promise.all([first, parts.keep(transition)]);
    parts.tellOutward([transition]);
    return keptWithin<unknown>(keeping, null);
  }

  return {
    announce(transitions) {
      parts.annunciate();
      parts.tell();
      for (const transition of transitions) {
        out(transition);
        parts.keep(transition).catch(parts.failed);
      }
      // That one chatters is no change of state: nobody is called for it a second time.
      parts.tellOutward(transitions.filter(({ from, to }) => from !== to));
    },
    acknowledge: (alarm, by) => done(alarm, by, ({ now, run }) => desk.acknowledge(alarm, by, now, run)),
    reset: (alarm, by) => done(alarm, by, (deed) => desk.reset(deed)),
    shelve: (alarm, told) =>
      done(
        alarm,
        told.by,
        (deed) => desk.shelve({ ...deed, ...told }),
        (now) => parts.keepShelf(alarm, told, now),
      ),
    unshelve: (alarm, by) => done(alarm, by, (deed) => desk.unshelve(deed)),
    takeOutOfService: (alarm, told) =>
      done(
        alarm,
        told.by,
        (deed) => desk.takeOutOfService({ ...deed, ...told }),
        (now) => parts.keepOutOfService(alarm, told, now),
      ),
    putInService: (alarm, by) => done(alarm, by, (deed) => desk.putInService(deed)),
  };
}
