import { LITTLE_MEMORY, startThread, type Thread } from "../journal/thread.js";
import type { CarriedNotice, CarrierCalls } from "./carrying.js";
import type { OutwardEntry } from "./entry.js";
import type { AlarmStanding, Outgoing, Taken } from "./outgoing.js";

/** Hands messages to the thread that sends them. */
export interface Carrier {
  /**
   * @param withinMs how long a server may take; each way has a time of its own
   * @throws Error with words for people
   */
  send(message: Outgoing, withinMs?: number): Promise<Taken>;
  states(alarms: readonly AlarmStanding[]): void;
  /** To be called at least every ten seconds. @param well whether the station does its work */
  beat(well: boolean): void;
  close(): Promise<void>;
}

export interface CarrierOptions {
  readonly entry: OutwardEntry;
  /** The compiled outward-thread.js; by default the one beside this module. */
  readonly workerUrl?: URL;
  readonly onEnded: (why: string) => void;
}

/** A thread that ended is started again by the next beat, but not at once. */
const RESTART_MS = 10_000;
const CLOSE_WITHIN_MS = 6_000;

interface Waiting {
  readonly resolve: (taken: Taken) => void;
  readonly reject: (error: Error) => void;
}

export function createCarrier({ entry, workerUrl, onEnded }: CarrierOptions): Carrier {
  const url = workerUrl ?? new URL("./outward-thread.js", import.meta.url);
  const waiting = new Map<number, Waiting>();
  let sent = 0;
  let states: readonly AlarmStanding[] = [];
  let endedAt = Number.NEGATIVE_INFINITY;
  let closed = false;
  let thread: Thread<CarrierCalls> | null = begin();

  function begin(): Thread<CarrierCalls> {
    const begun = startThread<CarrierCalls>(
      url,
      {
        onNotice(notice) {
          const told = notice as CarriedNotice;
          const asked = waiting.get(told.number);
          waiting.delete(told.number);
          if (told.error === null) asked?.resolve(told.taken);
          else asked?.reject(new Error(told.error));
        },
        onEnded(why) {
          if (thread === begun) thread = null;
          endedAt = performance.now();
          const lost = [...waiting.values()];
          waiting.clear();
          for (const { reject } of lost) reject(new Error("what sends it has ended and is started again"));
          if (!closed) onEnded(why);
        },
      },
      LITTLE_MEMORY,
    );
    // Where the thread ends, that is told above.
    begun.call("open", entry).catch(() => {});
    begun.call("states", states).catch(() => {});
    return begun;
  }

  return {
    send(message, withinMs) {
      return new Promise((resolve, reject) => {
        const open = thread;
        if (open === null) {
          reject(new Error("what sends it has ended and is started again"));
          return;
        }
        sent++;
        const number = sent;
        waiting.set(number, { resolve, reject });
        open.call("send", { number, message, withinMs: withinMs ?? null }).catch((error: unknown) => {
          if (waiting.delete(number)) reject(error instanceof Error ? error : new Error(String(error)));
        });
      });
    },
    states(alarms) {
      states = alarms;
      thread?.call("states", alarms).catch(() => {});
    },
    beat(well) {
      if (closed) return;
      if (thread === null && performance.now() - endedAt > RESTART_MS) thread = begin();
      thread?.call("beat", well).catch(() => {});
    },
    async close() {
      if (closed) return;
      closed = true;
      const open = thread;
      if (open === null) return;
      let timer: NodeJS.Timeout | undefined;
      const late = new Promise<void>((resolve) => {
        timer = setTimeout(resolve, CLOSE_WITHIN_MS);
      });
      await Promise.race([open.call("close", null).catch(() => {}), late]);
      clearTimeout(timer);
      await open.stop();
    },
  };
}
