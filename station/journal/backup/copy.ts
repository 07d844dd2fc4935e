import { closeSync, existsSync, fsyncSync, openSync, renameSync, rmSync } from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { AppError } from "../../errors.js";
import { unsoundStretches } from "../checked-stretches.js";
import { defineFunctions, openForReading } from "../database.js";
import { requireRoom, type Wanted } from "../disk/fit.js";
import { RESERVE_BYTES } from "../disk/room.js";
import { MIGRATIONS } from "../migrations.js";
import { unsoundRows } from "../row-checks.js";
import { APPLICATION_ID, ROW_CHECKS_SINCE } from "../schema.js";
import { PARTIAL } from "./folder.js";
import { damagedSealed } from "./sealed-damage.js";

/** What a journal holds, as far as counting it tells. */
export interface Contents {
  /** Schema number. */
  readonly version: number;
  readonly sessions: number;
  readonly runs: number;
  readonly alarms: number;
  /** Wall milliseconds at which the newest start of the station began; null without any. */
  readonly lastStartWall: number | null;
  /** Of the sealed readings and their rollups, what is damaged in the file, each in words; as a rule empty. */
  readonly damaged: readonly string[];
}

/**
 * Copies the journal of a folder, as it is at this moment, into one file: VACUUM INTO, which a station that goes on writing
 * does not disturb. The copy is opened and checked, is on the disk, and only then gets its name. What of the sealed readings is
 * damaged in the journal already is so in the copy as well, which says so: it has all the rest.
 * @throws AppError "backup-failed", or `code`, where there is no room for it, or the copy is not what it should be; as `openForReading`; what SQLite or the disk said
 */
export function copyJournal(
  folder: string,
  target: string,
  reserveBytes = RESERVE_BYTES,
  { code, what }: Pick<Wanted, "code" | "what"> = { code: "backup-failed", what: "a backup" },
): Contents {
  const partial = target + PARTIAL;
  rmSync(partial, { force: true });
  const db = openForReading(folder);
  let least: Counted;
  try {
    least = contentsOf(db);
    const to = dirname(target);
    const bytes = bytesOf(db);
    requireRoom({ code, what, bytes, to, journal: folder, reserveBytes });
    db.prepare("VACUUM INTO ?").run(partial);
  } catch (error) {
    rmSync(partial, { force: true });
    throw error;
  } finally {
    db.close();
  }
  try {
    const copied = checkedContents(partial);
    // The station may have gone on between the count and the copy.
    if (copied.runs < least.runs || copied.sessions < least.sessions || copied.alarms < least.alarms) {
      throw new AppError(code, `${partial} holds less than the journal did. It was taken away.`);
    }
    const only = damagedOnlyIn(copied, folder);
    if (only !== undefined) {
      throw new AppError(code, `${partial} is not what was copied (${only}). It was taken away.`);
    }
    toDisk(partial);
    renameSync(partial, target);
    toDisk(dirname(target));
    return copied;
  } catch (error) {
    rmSync(partial, { force: true });
    throw error;
  }
}

/**
 * The copy that somebody names a file for, which stays.
 * @throws AppError "export-failed" where there is no room for it; else as `copyJournal`
 */
export function copyToFile(folder: string, target: string, reserveBytes = RESERVE_BYTES): Contents {
  return copyJournal(folder, target, reserveBytes, { code: "export-failed", what: "a copy of the journal" });
}

export interface CopyRequest {
  /** Folder of the journal. */
  readonly journal: string;
  readonly target: string;
  readonly reserveBytes: number;
}

/**
 * The copy that is sent to a browser, and taken away then.
 * @throws AppError "export-failed" where there is no room for it; else as `copyJournal`
 */
export function copyForSending({ journal, target, reserveBytes }: CopyRequest): Contents {
  return copyJournal(journal, target, reserveBytes, { code: "export-failed", what: "a copy to be sent" });
}

/**
 * Opens a file and checks it from end to end, without writing. Sealed readings that are damaged do not make it unusable:
 * the rest can be read.
 * @throws AppError "backup-unusable" for one that is damaged, not a journal, or newer than this program
 */
export function checkedContents(file: string): Contents {
  const refuse = (why: string) => new AppError("backup-unusable", `${file} ${why}.`);
  if (!existsSync(file)) throw refuse("is not there");
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true });
    if (Number(db.pragma("application_id", { simple: true })) !== APPLICATION_ID) {
      throw refuse("is not a journal of this station");
    }
    const version = Number(db.pragma("user_version", { simple: true }));
    const newest = MIGRATIONS.at(-1)?.version ?? 0;
    if (version > newest) {
      throw refuse(
        `has schema number ${version}, and this station knows up to ${newest}: update the station`,
      );
    }
    const [found] = db.pragma("integrity_check(1)") as { integrity_check: string }[];
    if (found?.integrity_check !== "ok") throw refuse(`is damaged (${found?.integrity_check})`);
    if (version < ROW_CHECKS_SINCE) return { ...contentsOf(db), damaged: [] };
    defineFunctions(db);
    const [unsound] = [...unsoundRows(db), ...unsoundStretches(db)];
    if (unsound !== undefined) throw refuse(`is damaged (${unsound})`);
    return { ...contentsOf(db), damaged: damagedSealed(db) };
  } catch (error) {
    if (error instanceof AppError) throw error;
    throw refuse(`cannot be read (${error instanceof Error ? error.message : String(error)})`);
  } finally {
    db?.close();
  }
}

/** What is damaged in a copy and not in the journal it was made of. */
export function damagedOnlyIn({ damaged }: Contents, folder: string): string | undefined {
  if (damaged.length === 0) return undefined;
  const db = openForReading(folder);
  try {
    const before = new Set(damagedSealed(db));
    return damaged.find((words) => !before.has(words));
  } finally {
    db.close();
  }
}

/** What a copy takes: the pages in use, with what has not been brought into the main file yet. */
function bytesOf(db: Database.Database): number {
  const number = (name: string) => Number(db.pragma(name, { simple: true }));
  return (number("page_count") - number("freelist_count")) * number("page_size");
}

type Counted = Omit<Contents, "damaged">;

function contentsOf(db: Database.Database): Counted {
  const count = (table: string) => Number(db.prepare(`SELECT count(*) FROM ${table}`).pluck().get());
  return {
    version: Number(db.pragma("user_version", { simple: true })),
    sessions: count("session"),
    runs: count("run"),
    alarms: count("alarm_transition"),
    lastStartWall:
      db.prepare<[], number>("SELECT started_wall FROM session ORDER BY id DESC LIMIT 1").pluck().get() ??
      null,
  };
}

/** What is damaged in a file, short enough to be read; null where nothing is. */
export function damageWords({ damaged }: Pick<Contents, "damaged">): string | null {
  const [first] = damaged;
  if (first === undefined) return null;
  const more = damaged.length === 1 ? "" : ` (and ${damaged.length - 1} more)`;
  return `Part of it is damaged: ${first}${more}`;
}

/** A file or a folder: a name that is not on the disk yet is lost with the power. */
export function toDisk(path: string): void {
  const handle = openSync(path, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
