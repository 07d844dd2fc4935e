import { AppError } from "../../errors.js";
import { damagedBytes } from "../backup/sealed-damage.js";
import { unsoundStretches } from "../checked-stretches.js";
import type { Db } from "../database.js";
import { unsoundRows } from "../row-checks.js";
import { isDamage } from "../trouble.js";
import { checkBlocks, checkNewest } from "./check.js";
import { indexesToMake } from "./indexes.js";
import type { Found } from "./part.js";

/** What the station's own look through its journal has found; all three empty where it is sound. */
export interface Looked {
  /** Names of indexes that do not have what their tables hold; empty where anything else is wrong. */
  readonly indexes: readonly string[];
  /** What only a backup has, in words. */
  readonly damage: readonly string[];
  /** Rollups that are not what the readings say, and that can be made anew from them, in words. */
  readonly rollups: readonly string[];
}

/**
 * The look that a station takes at its journal after every start and once a day: SQLite's own at every page and every index,
 * the checksums of every row and block, and what was written last against its rollups. Reads the file some two times over.
 * What of the older rollups their checksums do not tell is for `checkReadings`, which works them all out again.
 */
export function lookThrough(db: Db): Looked {
  try {
    const damage = (db.pragma("integrity_check") as { integrity_check: string }[])
      .map((row) => row.integrity_check)
      .filter((text) => text !== "ok");
    const indexes = indexesToMake(db, damage);
    // Of pages that do not hang together nothing else is asked.
    if (indexes === null) return { indexes: [], damage, rollups: [] };
    const rows = [...unsoundRows(db), ...unsoundStretches(db)];
    const found: Found[] = damagedBytes(db);
    // What an index does not agree with may be a row that is damaged, of which the times of a block have no checksum.
    for (const step of indexes.length > 0 ? checkBlocks(db) : checkNewest(db)) found.push(...step.found);
    const readings = wordsOf(found, "readings");
    const sound = rows.length + readings.length === 0;
    return {
      indexes: sound ? indexes : [],
      damage: [...(sound ? [] : damage), ...rows, ...readings],
      rollups: wordsOf(found, "rollups"),
    };
  } catch (error) {
    // A question that fails over damage has found it.
    if (!isDamage(error) && !(error instanceof AppError)) throw error;
    return { indexes: [], damage: [(error as Error).message], rollups: [] };
  }
}

/** Each once: a look at what is in the bytes says more of them than their checksum does, after the same words. */
function wordsOf(found: readonly Found[], wanted: Found["what"]): string[] {
  const words = [...new Set(found.filter(({ what }) => what === wanted).map((each) => each.words))];
  return words.filter((each) => !words.some((other) => other.startsWith(`${each}:`)));
}
