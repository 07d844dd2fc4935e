import { AppError } from "../../errors.js";
import type { Db } from "../database.js";
import { isDamage } from "../trouble.js";

/** What `PRAGMA integrity_check` says where an index and its table do not have the same in them. */
const AT_ODDS =
  /^(?:row \d+ missing from|wrong # of entries in|row \d+ values differ from|non-unique entry in) index (.+)$/;

/** The index that SQLite means by this; null where it means something else. */
export function indexAtOdds(words: string): string | null {
  return AT_ODDS.exec(words)?.[1] ?? null;
}

/**
 * The indexes that would have to be made anew for all of this to be mended; null where something else is wrong as well.
 * One whose pages do not hang together is something else: making it anew gives its pages back for other use, and one of
 * them may be a table's.
 * @param damage what `PRAGMA integrity_check` has said, without "ok"
 */
export function indexesToMake(db: Db, damage: readonly string[]): string[] | null {
  const there = new Set(indexNames(db));
  const names = new Set<string>();
  for (const words of damage) {
    const name = indexAtOdds(words);
    if (name === null || !there.has(name)) return null;
    names.add(name);
  }
  return [...names];
}

/**
 * Makes an index anew from its table; inside a transaction of the caller's, or by itself. A second or two on a Pi for the
 * largest there is after ten years.
 * @throws AppError "request-invalid" where there is none of that name, "journal-unusable" where the file is damaged beyond it;
 * the SQLite error where rows do not allow it, or of a passing trouble
 */
export function makeIndex(db: Db, name: string): void {
  if (!indexNames(db).includes(name))
    throw new AppError("request-invalid", `The journal has no index ${name}.`);
  try {
    db.exec(`REINDEX "${name}"`);
  } catch (error) {
    // Not to be tried again for ever, as a commit that meets damage is.
    if (!isDamage(error)) throw error;
    throw new AppError(
      "journal-unusable",
      `The index ${name} could not be made anew: ${(error as Error).message}.`,
    );
  }
}

function indexNames(db: Db): string[] {
  return db.prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'index'").pluck().all();
}
