/** The thread of the one connection that writes. A commit may take seconds here and nobody minds. */
import { setTimeout as delay } from "node:timers/promises";
import { openForWriting } from "./database.js";
import type { Parcel, Receipt, TroubleNotice, WriterCalls } from "./protocol.js";
import { answerCalls } from "./thread.js";
import { passingTrouble } from "./trouble.js";
import { createWriter, type Writer } from "./writer.js";

const LONGEST_RETRY_MS = 10_000;

let writer: Writer | null = null;
let retryMs = 0;

function monotonic(): number {
  return performance.now();
}

function opened(): Writer {
  if (writer === null) throw new Error("The journal is not open in this thread.");
  return writer;
}

/** Tries until it is done: what comes after must not overtake it, and the main thread holds the readings meanwhile. */
async function commit(parcel: Parcel): Promise<Receipt> {
  for (let tries = 0; ; tries++) {
    try {
      const receipt = opened().commit(parcel);
      if (tries > 0) side.notify({ trouble: null } satisfies TroubleNotice);
      return receipt;
    } catch (error) {
      const trouble = passingTrouble(error);
      if (trouble === null) throw error;
      side.notify({ trouble } satisfies TroubleNotice);
    }
    const pause = Math.min(LONGEST_RETRY_MS, retryMs * 2 ** Math.min(tries, 10));
    await delay(pause, undefined, { signal: side.ending });
  }
}

const side = answerCalls<WriterCalls>(
  {
    open(opening) {
      retryMs = opening.retryMs;
      const db = openForWriting(opening.folder, { busyTimeoutMs: opening.busyTimeoutMs });
      try {
        writer = createWriter(db, opening.session, monotonic);
      } catch (error) {
        db.close();
        throw error;
      }
      return { session: writer.session };
    },
    commit,
  },
  () => writer?.close(),
);
