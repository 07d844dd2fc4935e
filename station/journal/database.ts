import { existsSync, mkdirSync, statSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { AppError } from "../errors.js";
import { MIGRATIONS, type Migration } from "./migrations.js";
import { defineRowChecks, keepRowChecks } from "./row-checks.js";
import { APPLICATION_ID, ROW_CHECKS_SINCE } from "./schema.js";
import { defineStretchRows } from "./stretch-rows.js";
import { defineStretchSums, keepStretchSums } from "./stretch-sums.js";
import { isDamage, openingTrouble, passingTrouble } from "./trouble.js";
import { defineWiderPages } from "./wider-pages.js";

export type Db = Database.Database;

/** What a connection keeps of the file; what is read again and again the system keeps as well, for all of them. */
const CACHE_KIB = 4000;

export const JOURNAL_FILE = "journal.sqlite";

/**
 * Before 3.51.3 two connections of one WAL file that wrote and checkpointed at the same moment could, rarely, damage it
 * (release notes of SQLite 3.51.3, the "WAL-reset bug"); the journal always has two connections.
 */
export const OLDEST_SQLITE = "3.51.3";

/** @throws AppError "sqlite-too-old" */
export function requireSqlite(version: string, oldest: string = OLDEST_SQLITE): void {
  const have = version.split(".").map(Number);
  const need = oldest.split(".").map(Number);
  for (let i = 0; i < need.length; i++) {
    const difference = (have[i] ?? 0) - (need[i] ?? 0);
    if (difference > 0) return;
    if (difference < 0) {
      throw new AppError(
        "sqlite-too-old",
        `SQLite ${version} is in use, ${oldest} or later is needed: install the station's packages again (npm ci).`,
      );
    }
  }
}

function pragmaNumber(db: Db, name: string): number {
  return Number(db.pragma(name, { simple: true }));
}

/**
 * Refuses a file that is not a journal or was written by a newer program, before anything is written.
 * @throws AppError "journal-too-new", "journal-unusable"
 */
function refuseUnfit(db: Db, file: string, newest: number): void {
  const version = pragmaNumber(db, "user_version");
  const tables = Number(db.prepare("SELECT count(*) FROM sqlite_schema").pluck().get());
  if (pragmaNumber(db, "application_id") !== APPLICATION_ID && (tables > 0 || version > 0)) {
    throw new AppError("journal-unusable", `${file} is an SQLite file, but not a journal of this station.`);
  }
  if (version > newest) {
    throw new AppError(
      "journal-too-new",
      `${file} has schema number ${version}, this station knows up to ${newest}: update the station, or start it with ` +
        "another folder. The file was left as it was.",
    );
  }
}

/** Gives a connection the functions that the journal's migrations and questions call. */
export function defineFunctions(db: Db): void {
  defineRowChecks(db);
  defineStretchSums(db);
  defineStretchRows(db);
  defineWiderPages(db);
}

/**
 * Brings the file up to the newest migration, each in a transaction of its own: a power cut leaves it whole, as it was
 * before one of them or after it.
 */
export function migrate(db: Db, migrations: readonly Migration[] = MIGRATIONS): void {
  defineFunctions(db);
  const from = pragmaNumber(db, "user_version");
  for (const { version, sql } of migrations) {
    if (version <= from) continue;
    db.transaction(() => {
      db.exec(sql);
      db.pragma(`application_id = ${APPLICATION_ID}`);
      db.pragma(`user_version = ${version}`);
    }).immediate();
  }
}

function unusable(file: string, error: unknown): AppError {
  if (error instanceof AppError) return error;
  if (isDamage(error)) {
    const doing = "Stop the station and put back a backup, or move the file away to begin a new journal";
    return new AppError("journal-unusable", `${file} is damaged. ${doing}. It was left as it was.`);
  }
  const words = passingTrouble(error) ?? (error instanceof Error ? error.message : String(error));
  return new AppError("journal-unusable", `${file}: ${words}.`);
}

/** As it is where trying again may help, else as the refusal it comes to. */
export function refusalToOpen(folder: string, error: unknown): unknown {
  return openingTrouble(error) === null ? unusable(join(folder, JOURNAL_FILE), error) : error;
}

export interface WritingOptions {
  /** How long SQLite itself waits for another process's lock before it answers SQLITE_BUSY; milliseconds. */
  readonly busyTimeoutMs: number;
  readonly migrations?: readonly Migration[];
  /** Called before a journal of so many bytes is brought up to date: one of millions of rows takes a minute or more. */
  readonly onMigrating?: (bytes: number) => void;
}

/**
 * Opens, or makes, the journal in this folder with the one connection that writes.
 * @throws AppError "sqlite-too-old", "journal-too-new", "journal-unusable" (not a journal, or damaged); where trying again
 * may help (see `openingTrouble`), what SQLite or the disk said
 */
export function openForWriting(
  folder: string,
  { busyTimeoutMs, migrations = MIGRATIONS, onMigrating }: WritingOptions,
): Db {
  const file = join(folder, JOURNAL_FILE);
  let db: Db | null = null;
  try {
    requireSqlite(sqliteVersion());
    mkdirSync(folder, { recursive: true });
    lookBeforeWriting(file, busyTimeoutMs, migrations.at(-1)?.version ?? 0);
    db = new Database(file, { timeout: busyTimeoutMs });
    db.pragma("journal_mode = WAL");
    // A file that is in WAL mode already is opened at NORMAL by this build (DEFAULT_WAL_SYNCHRONOUS=1).
    db.pragma("synchronous = FULL");
    db.pragma("foreign_keys = ON");
    db.pragma(`cache_size = -${CACHE_KIB}`);
    // A checkpoint held up by a long chart can let the WAL grow; afterwards it is cut back to this.
    db.pragma("journal_size_limit = 67108864");
    const version = pragmaNumber(db, "user_version");
    if (version > 0 && version < (migrations.at(-1)?.version ?? 0)) onMigrating?.(statSync(file).size);
    migrate(db, migrations);
    if (pragmaNumber(db, "user_version") >= ROW_CHECKS_SINCE) {
      keepRowChecks(db);
      keepStretchSums(db);
    }
    return db;
  } catch (error) {
    db?.close();
    throw refusalToOpen(folder, error);
  }
}

/** A connection that can write may do so just by closing (the last one out folds the WAL in), so the look is a read-only one. */
function lookBeforeWriting(file: string, busyTimeoutMs: number, newest: number): void {
  if (!existsSync(file)) return;
  const db = new Database(file, { readonly: true, fileMustExist: true, timeout: busyTimeoutMs });
  try {
    refuseUnfit(db, file, newest);
  } finally {
    db.close();
  }
}

/**
 * The schema number of a journal that is there, whatever this program knows of it.
 * @throws AppError "journal-unusable"
 */
export function schemaOf(folder: string, busyTimeoutMs = 5000): number {
  const file = join(folder, JOURNAL_FILE);
  let db: Db | null = null;
  try {
    db = new Database(file, { readonly: true, fileMustExist: true, timeout: busyTimeoutMs });
    refuseUnfit(db, file, Number.POSITIVE_INFINITY);
    return pragmaNumber(db, "user_version");
  } catch (error) {
    throw unusable(file, error);
  } finally {
    db?.close();
  }
}

export function sqliteVersion(): string {
  const db = new Database(":memory:");
  try {
    return String(db.prepare("SELECT sqlite_version()").pluck().get());
  } finally {
    db.close();
  }
}

/**
 * Opens an existing journal for reading only; the writing connection must have made it.
 * @throws AppError "sqlite-too-old", "journal-too-new", "journal-unusable"
 */
export function openForReading(folder: string, busyTimeoutMs = 5000): Db {
  const file = join(folder, JOURNAL_FILE);
  let db: Db | null = null;
  try {
    requireSqlite(sqliteVersion());
    if (!existsSync(file)) {
      throw new AppError(
        "journal-unusable",
        `There is no journal in ${folder} yet: start the station once, or name the folder with --journal.`,
      );
    }
    db = new Database(file, { readonly: true, fileMustExist: true, timeout: busyTimeoutMs });
    const newest = MIGRATIONS.at(-1)?.version ?? 0;
    refuseUnfit(db, file, newest);
    if (pragmaNumber(db, "user_version") < newest) {
      throw new AppError(
        "journal-unusable",
        `${file} has not been brought up to date yet: start the station once.`,
      );
    }
    defineFunctions(db);
    db.pragma(`cache_size = -${CACHE_KIB}`);
    return db;
  } catch (error) {
    db?.close();
    throw unusable(file, error);
  }
}
