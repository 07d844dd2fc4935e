import { copyFileSync, existsSync, renameSync, rmSync } from "node:fs";
import { join } from "node:path";
import { JOURNAL_FILE } from "../database.js";
import { lockFolder } from "../lock.js";
import { type Contents, checkedContents, toDisk } from "./copy.js";

const BUSY_TIMEOUT_MS = 5000;
/** The journal's file with what SQLite keeps beside it; they belong together, and move together. */
const ENDINGS = ["", "-wal", "-shm"] as const;

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
    copyFileSync(file, partial);
    const contents = checkedContents(partial);
    toDisk(partial);
    const movedTo = moveAside(target, freeName(join(folder, `before-restore-${stamp}`)));
    renameSync(partial, target);
    toDisk(folder);
    return { contents, movedTo };
  } catch (error) {
    rmSync(partial, { force: true });
    throw error;
  } finally {
    lock.release();
  }
}

/** Two restores within a second must not move one journal over the other. */
function freeName(name: string): string {
  for (let count = 1; ; count += 1) {
    const file = `${name}${count === 1 ? "" : `-${count}`}.sqlite`;
    if (ENDINGS.every((ending) => !existsSync(file + ending))) return file;
  }
}

function moveAside(target: string, aside: string): string | null {
  const there = ENDINGS.filter((ending) => existsSync(target + ending));
  if (there.length === 0) return null;
  // The WAL first: a WAL that is left beside another journal would be taken for its own.
  for (const ending of [...there].reverse()) renameSync(target + ending, aside + ending);
  return aside;
}
