import { statSync } from "node:fs";
import type { Db } from "../database.js";

/** The write-ahead log: what is committed and not yet in the journal's main file. */
export interface WalState {
  /** Of the file, which is not cut back by itself. */
  readonly bytes: number;
  /** Pages that the last look could not bring into the main file, because somebody still reads what was there before them. */
  readonly pagesWaiting: number;
}

/** A WAL beyond this is looked after: SQLite's own checkpoints keep it below, as long as nobody reads for long. */
const LARGE_BYTES = 8e6;

/**
 * Brings what it can of a large WAL into the main file, and cuts it back where all of it is there. Waits for no reader, but
 * for the disk; between transactions of the writing connection. A small one is left alone: a checkpoint wears the card.
 * @throws the SQLite error of a passing trouble
 */
export function tendWal(db: Db, file: string): WalState {
  const { size } = statSync(file);
  if (size <= LARGE_BYTES) return { bytes: size, pagesWaiting: 0 };
  const checkpoint = (mode: "PASSIVE" | "TRUNCATE") => {
    const [found] = db.pragma(`wal_checkpoint(${mode})`) as { log: number; checkpointed: number }[];
    return found === undefined ? 0 : Math.max(0, found.log - found.checkpointed);
  };
  let pagesWaiting = checkpoint("PASSIVE");
  if (pagesWaiting === 0) {
    // A reader that is there would be waited for, as long as for a lock; the next look will do.
    const patience = Number(db.pragma("busy_timeout", { simple: true }));
    db.pragma("busy_timeout = 0");
    try {
      pagesWaiting = checkpoint("TRUNCATE");
    } finally {
      db.pragma(`busy_timeout = ${patience}`);
    }
  }
  return { bytes: statSync(file).size, pagesWaiting };
}
