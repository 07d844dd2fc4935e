import Database from "better-sqlite3";

/**
 * Result codes that may pass without anyone changing the statement: another process holds the lock, the disk is full
 * or answers with errors, memory is short. Extended codes (SQLITE_IOERR_WRITE) count with their primary one.
 */
const PASSING: readonly (readonly [string, string])[] = [
  ["SQLITE_BUSY", "another program holds the journal locked"],
  ["SQLITE_LOCKED", "another program holds the journal locked"],
  ["SQLITE_PROTOCOL", "another program holds the journal locked"],
  ["SQLITE_FULL", "the disk is full: make room on it"],
  ["SQLITE_IOERR", "the disk answers with errors: the card may be worn out or loose"],
  [
    "SQLITE_READONLY",
    "the journal cannot be written: look at the file's permissions and whether the disk is read-only",
  ],
  ["SQLITE_CANTOPEN", "the journal file cannot be opened: look at the folder and its permissions"],
  ["SQLITE_NOMEM", "memory has run out"],
  // Not passing by itself, but nothing is gained by giving up either: the readings stay in memory and the person is told.
  ["SQLITE_CORRUPT", "the journal file is damaged: stop the station and put back a backup"],
  ["SQLITE_NOTADB", "the journal file is damaged: stop the station and put back a backup"],
];

/**
 * What is wrong, in words for people, where the same write is worth trying again; null where trying again cannot help
 * because the write itself is at fault.
 */
export function passingTrouble(error: unknown): string | null {
  if (!(error instanceof Database.SqliteError)) return null;
  const { code } = error;
  return PASSING.find(([name]) => code === name || code.startsWith(`${name}_`))?.[1] ?? null;
}
