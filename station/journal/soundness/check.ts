import type { Db } from "../database.js";
import { createBlockCheck, type Seen } from "./blocks.js";
import { createGroupCheck } from "./groups.js";
import { createNewestCheck } from "./newest.js";
import { createPageCheck } from "./pages.js";
import type { Part, Step } from "./part.js";

export type PartName = "groups" | "blocks" | "pages" | "newest";

export interface CheckStep extends Step {
  readonly part: PartName;
}

/**
 * Looks at every sealed block and at every rollup there is, and says what is not as it should be. Reads the whole journal:
 * of a year of three channels at 1 s that is some ten seconds on a desk machine. Each step is a transaction of its own, so
 * that a station may go on writing where nothing is mended.
 *
 * Mending makes wrong rollups anew from the readings, and writes nothing else: readings, runs and stamps are never touched.
 * It may be cut off at any moment, and after every step the journal is no worse than it was before: begun again it finds
 * what is still wrong. Nothing else may write meanwhile.
 * Of a block that cannot be read the minutes stay: they are what is left of it. Of one that is gone altogether, or with its
 * minutes, what the wider rollups hold.
 */
export function checkReadings(db: Db, mend: boolean): Generator<CheckStep, void> {
  const seen: Seen = { pages: new Map(), lost: [] };
  return steps(db, mend, [
    ["groups", () => createGroupCheck(db, seen)],
    ["blocks", () => createBlockCheck(db, seen, mend)],
    ["pages", () => createPageCheck(db, seen, mend)],
    ["newest", () => createNewestCheck(db, mend)],
  ]);
}

/** Sealed groups that a look at the newest takes in: more than the WAL holds of them, which is a few megabytes. */
const NEWEST_GROUPS = 96;

/**
 * The same look, mending nothing, at what was written last: the newest groups, the pages that they fall into and the rows.
 * Where a power cut has left pages of two times in the file it is there that they do not agree. Some seconds on a Pi,
 * however long the journal.
 */
export function checkNewest(db: Db): Generator<CheckStep, void> {
  const seen: Seen = { pages: new Map(), lost: [] };
  const before = db
    .prepare<[number], { first_id: number; first_block: number; blocks: number }>(
      "SELECT first_id, first_block, blocks FROM sealed ORDER BY first_id DESC LIMIT 1 OFFSET ?",
    )
    .get(NEWEST_GROUPS);
  const lastBlock = before === undefined ? 0 : before.first_block + before.blocks - 1;
  return steps(db, false, [
    ["groups", () => createGroupCheck(db, seen, before?.first_id)],
    ["blocks", () => createBlockCheck(db, seen, false, lastBlock)],
    ["pages", () => createPageCheck(db, seen, false, "touched")],
    ["newest", () => createNewestCheck(db, false)],
  ]);
}

/** Every sealed group and block, and no rollup wider than theirs: a look that goes by no index. */
export function checkBlocks(db: Db): Generator<CheckStep, void> {
  const seen: Seen = { pages: new Map(), lost: [] };
  return steps(db, false, [
    ["groups", () => createGroupCheck(db, seen)],
    ["blocks", () => createBlockCheck(db, seen, false)],
  ]);
}

type Named = readonly [PartName, () => Part];

function* steps(db: Db, mend: boolean, parts: readonly Named[]): Generator<CheckStep, void> {
  for (const [part, begin] of parts) {
    const { step } = begin();
    const transaction = db.transaction(step);
    const next = mend ? transaction.immediate : transaction;
    for (let made = next(); made !== null; made = next()) yield { part, ...made };
  }
}
