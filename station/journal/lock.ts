import { accessSync, constants, mkdirSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { AppError } from "../errors.js";
import { identityOf } from "./same-file.js";

export const LOCK_FILE = "station.lock";
/** A station that is just ending may hold its lock a moment longer. */
const LONGEST_WAIT_MS = 1000;

export interface FolderLock {
  /**
   * Takes the lock again where its file has been removed or replaced: the one that is held then keeps nobody out.
   * @throws AppError "journal-in-use" where another station was quicker; as `lockFolder`
   */
  hold(): void;
  release(): void;
}

/**
 * Makes this the only station that writes in the folder, which is made if it is not there. The lock is the operating
 * system's, on a file of its own (SQLite holds it for as long as the transaction is open): it goes with the process,
 * however that ends, and an old file that is left lying there locks nothing. The journal's own file stays unlocked for
 * those who read it. Nothing is ever written into the lock file, so that a full disk does not stand in the way.
 * @throws AppError "journal-in-use"; what SQLite or the disk said where the lock could not be tried for
 */
export function lockFolder(folder: string, busyTimeoutMs: number): FolderLock {
  mkdirSync(folder, { recursive: true });
  const file = join(folder, LOCK_FILE);
  let db = lockFile(folder, file, Math.min(busyTimeoutMs, LONGEST_WAIT_MS));
  let held = identityOf(file);
  return {
    hold() {
      const found = identityOf(file);
      // Where the disk does not say, nothing can be done about it either.
      if (found === held || found === undefined) return;
      const again = lockFile(folder, file, 0);
      db.close();
      db = again;
      held = identityOf(file);
    },
    release: () => db.close(),
  };
}

function lockFile(folder: string, file: string, timeout: number): Database.Database {
  const db = new Database(file, { timeout });
  try {
    // SQLite would open a file that cannot be written for reading only, and then begin without any lock.
    accessSync(file, constants.W_OK);
    db.exec("BEGIN EXCLUSIVE");
  } catch (error) {
    db.close();
    if (error instanceof Database.SqliteError && error.code.startsWith("SQLITE_BUSY")) {
      throw new AppError(
        "journal-in-use",
        `Something else is writing the journal in ${folder}: stop it first, or name another folder.`,
      );
    }
    throw error;
  }
  return db;
}
