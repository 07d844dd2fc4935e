import { promised } from "./promised.js";
import type { Parcel, Receipt } from "./protocol.js";
import type { ParcelQueue } from "./queue.js";

/** Readings for which the disk has no room: whether there are such, and when and how they are given again. */
export interface Hold {
  /** The disk had no room for the readings of the last parcel that had any. */
  readonly on: boolean;
  /** What was held is to be given again as soon as nothing is on its way. */
  readonly releasing: boolean;
  /** There is room again, or it is to be tried. */
  release(): void;
  /**
   * Another thread has opened the journal, which knows nothing of what was held: that is to be given again. What has been
   * already, keeps its numbers: by these it is known whether the thread before wrote it without having been heard.
   */
  reopened(): void;
  /** Nothing is on its way: the readings that were held become parcels. */
  giveAgain(): void;
  /** Whether this parcel, which is about to be sent, is the first with readings since. */
  resumesWith(parcel: Parcel): boolean;
  /** A parcel has been answered, and the queue knows of it. */
  answered(parcel: Parcel, receipt: Receipt): void;
  /** Resolves once none are held, or nothing can be done about it any more (`end`). */
  over(): Promise<void>;
  end(): void;
}

export function createHold(queue: ParcelQueue): Hold {
  let on = false;
  let releasing = false;
  let resuming = false;
  let whenOver = promised<void>();

  function end(): void {
    whenOver.resolve();
    whenOver = promised<void>();
  }

  return {
    get on() {
      return on;
    },
    get releasing() {
      return releasing;
    },
    release() {
      releasing = true;
    },
    reopened() {
      releasing = queue.holds;
    },
    giveAgain() {
      releasing = false;
      resuming = true;
      queue.release();
    },
    resumesWith({ readings }) {
      if (!resuming || readings === null) return false;
      resuming = false;
      return true;
    },
    answered({ readings }, { held }) {
      if (readings !== null) on = held;
      if (!on && !queue.holds) end();
    },
    async over() {
      if (on || queue.holds) await whenOver.promise;
    },
    end,
  };
}
