import { realpathSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { ACCESS_FILE } from "../access/file.js";
import { JOURNAL_FILE } from "./database.js";
import { LOCK_FILE } from "./lock.js";
import { identityOf } from "./same-file.js";

/** What the station keeps open in the journal's folder. */
const OWN_FILES = [
  JOURNAL_FILE,
  `${JOURNAL_FILE}-wal`,
  `${JOURNAL_FILE}-shm`,
  LOCK_FILE,
  ACCESS_FILE,
] as const;

/**
 * The file of a journal that a path leads to, by its name, a link or as the same file under another name; null where it
 * leads elsewhere. One that is not there counts as well: SQLite makes its WAL whenever it needs one.
 */
export function ownFileAt(folder: string, path: string): string | null {
  const wanted = whereIs(path);
  const file = identityOf(path);
  const found = OWN_FILES.map((name) => join(folder, name)).find(
    (own) => whereIs(own) === wanted || (typeof file === "string" && identityOf(own) === file),
  );
  return found ?? null;
}

/** Without links, as far as there is something: the last name of it may be that of a file to be made. */
function whereIs(path: string): string {
  try {
    return realpathSync(path);
  } catch {
    try {
      return join(realpathSync(dirname(resolve(path))), basename(path));
    } catch {
      return resolve(path);
    }
  }
}
