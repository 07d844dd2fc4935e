import { copyFileSync, existsSync, renameSync, rmSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import Database from "better-sqlite3";
import { JOURNAL_FILE } from "../database.js";
import { lockFolder } from "../lock.js";
import { type Contents, checkedContents, toDisk } from "./copy.js";

const BUSY_TIMEOUT_MS = 5000;
/** What SQLite keeps beside the journal's file. */
const BESIDE = ["-wal", "-shm"] as const;

export interface Restored {
  readonly contents: Contents;
  /** Where the journal went that was there before; null where there was none. */
  readonly movedTo: string | null;
}

/**
 * Puts a backup, or any whole journal, into a folder. It is copied there and checked before the journal that is there is
 * moved aside, and nothing is ever overwritten.
 * @param stamp names the journal that is moved aside: a time
 * @throws AppError "backup-unusable"; "journal-in-use" while a station writes there; what the disk said
 */
export function restore(file: string, folder: string, stamp: string): Restored {
  checkedContents(file);
  const lock = lockFolder(folder, BUSY_TIMEOUT_MS);
  const target = join(folder, JOURNAL_FILE);
  const partial = `${target}.restoring`;
  try {
    // A WAL that is left of a restore that was cut off would be taken for this copy's own.
    remove(partial);
    copyFileSync(file, partial);
    takeInWal(file, partial);
    const contents = checkedContents(partial);
    // Looking at it leaves an empty WAL beside it.
    removeBeside(partial);
    toDisk(partial);
    const movedTo = moveAside(target, freeName(join(folder, `before-restore-${stamp}`)));
    renameSync(partial, target);
    toDisk(folder);
    return { contents, movedTo };
  } catch (error) {
    remove(partial);
    throw error;
  } finally {
    lock.release();
  }
}

function remove(journal: string): void {
  rmSync(journal, { force: true });
  removeBeside(journal);
}

function removeBeside(journal: string): void {
  for (const ending of BESIDE) rmSync(journal + ending, { force: true });
}

/** What a journal was given last may be in the WAL beside it only, as where the plug was pulled: it is brought into the copy. */
function takeInWal(file: string, copy: string): void {
  const wal = `${file}-wal`;
  if (!existsSync(wal) || statSync(wal).size === 0) return;
  copyFileSync(wal, `${copy}-wal`);
  const db = new Database(copy);
  try {
    db.pragma("wal_checkpoint(TRUNCATE)");
  } finally {
    db.close();
  }
}

/** Two restores within a second must not move one journal over the other. */
function freeName(name: string): string {
  for (let count = 1; ; count += 1) {
    const file = `${name}${count === 1 ? "" : `-${count}`}.sqlite`;
    if (["", ...BESIDE].every((ending) => !existsSync(file + ending))) return file;
  }
}

/**
 * Cut off anywhere, it leaves the old journal whole under one of its two names: its WAL has a copy beside the new name, on the
 * disk, before the file itself moves there, and goes from beside the old name only after that. By then it must be gone from
 * the disk before another journal comes, which would take it for its own. The -shm is made anew by whoever opens the file.
 */
function moveAside(target: string, aside: string): string | null {
  const folder = dirname(target);
  const there = existsSync(target);
  if (existsSync(`${target}-wal`)) {
    copyFileSync(`${target}-wal`, `${aside}-wal`);
    toDisk(`${aside}-wal`);
    toDisk(folder);
  }
  if (there) {
    renameSync(target, aside);
    toDisk(folder);
  }
  removeBeside(target);
  toDisk(folder);
  return there ? aside : null;
}
