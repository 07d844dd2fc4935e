import Database from "better-sqlite3";

export interface HeldLock {
  /** Lets the lock go once it has been held for its time, and takes it again after a breath. To be called every 100 ms or so. */
  holdAgain(): void;
  /** How often it was held. */
  release(): number;
}

/** Longer than SQLite ever sleeps between two looks whether a lock is free (100 ms; its `sqliteDefaultBusyCallback`). */
const BREATH_MS = 400;

/**
 * Takes the write lock of a journal for `holdMs` at a time, again and again, as a slow card does: a commit takes so long, and is done
 * in the breath between. Without one no commit would ever get through, and all that comes would have to be held in memory.
 */
export function holdLock(file: string, holdMs: number): HeldLock {
  const db = new Database(file);
  let since = 0;
  let holds = false;
  let held = 0;
  const take = () => {
    try {
      db.exec("BEGIN IMMEDIATE");
      holds = true;
      since = performance.now();
      held += 1;
    } catch {
      // The station is committing at this very moment: the next time tries again.
    }
  };
  const letGo = () => {
    if (holds) db.exec("COMMIT");
    holds = false;
    since = performance.now();
  };
  db.pragma("busy_timeout = 0");
  take();
  return {
    holdAgain() {
      if (performance.now() - since < (holds ? holdMs : BREATH_MS)) return;
      if (holds) letGo();
      else take();
    },
    release() {
      letGo();
      db.close();
      return held;
    },
  };
}
