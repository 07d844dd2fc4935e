import Database from "better-sqlite3";

export interface HeldLock {
  /** Lets the lock go once it has been held for its time, and takes it again. */
  holdAgain(): void;
  /** How often it was held. */
  release(): number;
}

/** Takes the write lock of a journal for `holdMs` at a time, again and again, with a breath between: no commit gets through meanwhile. */
export function holdLock(file: string, holdMs: number): HeldLock {
  const db = new Database(file);
  let since: number | null = null;
  let held = 0;
  const take = () => {
    try {
      db.exec("BEGIN IMMEDIATE");
      since = performance.now();
      held += 1;
    } catch {
      // The station is committing at this very moment: the next time tries again.
      since = null;
    }
  };
  db.pragma("busy_timeout = 0");
  take();
  return {
    holdAgain() {
      if (since !== null && performance.now() - since < holdMs) return;
      if (since !== null) db.exec("COMMIT");
      since = null;
      take();
    },
    release() {
      if (since !== null) db.exec("COMMIT");
      db.close();
      return held;
    },
  };
}
