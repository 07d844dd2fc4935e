import Database from "better-sqlite3";
import { AppError } from "../errors.js";

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

/** The same for what the operating system answers (errno). */
const DISK_ERRORS: Readonly<Record<string, string>> = {
  EACCES: "the journal's folder may not be written: look at its permissions",
  EPERM: "the journal's folder may not be written: look at its permissions",
  EROFS: "the disk is read-only: it may be worn out, or be mounted so",
  ENOSPC: "the disk is full: make room on it",
  EDQUOT: "the disk is full: make room on it",
  EIO: "the disk answers with errors: the card may be worn out or loose",
  ENOTDIR: "its folder cannot be made: part of its path is not a folder",
  EEXIST: "its folder cannot be made: part of its path is not a folder",
};

/** The journal's file is no longer the one that was opened; what is written would go with it. */
export class JournalGone extends Error {
  override readonly name = "JournalGone";
  constructor() {
    super("the journal's file has been removed or replaced; restart the station");
  }
}

/** The lock file was removed, and another station has locked the folder since. */
export class JournalTaken extends Error {
  override readonly name = "JournalTaken";
  constructor() {
    super("its lock file was removed, and another station is writing the journal now: stop one of the two");
  }
}

/** Whether SQLite finds the file itself damaged, or not to be an SQLite file at all. */
export function isDamage(error: unknown): boolean {
  return error instanceof Database.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(error.code);
}

/**
 * What is wrong, in words for people, where opening the journal is worth trying again; null for what stays as it is:
 * damage, and whatever was refused for a reason of its own.
 */
export function openingTrouble(error: unknown): string | null {
  if (error instanceof AppError || isDamage(error)) return null;
  const passing = passingTrouble(error);
  if (passing !== null) return passing;
  if (error instanceof Database.SqliteError) return null;
  const { code, message } = error as NodeJS.ErrnoException;
  return DISK_ERRORS[code ?? ""] ?? message ?? String(error);
}

/**
 * What is wrong, in words for people, where the same write is worth trying again; null where trying again cannot help
 * because the write itself is at fault.
 */
export function passingTrouble(error: unknown): string | null {
  if (error instanceof JournalGone || error instanceof JournalTaken) return error.message;
  if (!(error instanceof Database.SqliteError)) return null;
  const { code } = error;
  return PASSING.find(([name]) => code === name || code.startsWith(`${name}_`))?.[1] ?? null;
}
