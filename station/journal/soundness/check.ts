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
export function* checkReadings(db: Db, mend: boolean): Generator<CheckStep, void> {
  const seen: Seen = { pages: new Map(), lost: [] };
  const parts: readonly [PartName, () => Part][] = [
    ["groups", () => createGroupCheck(db, seen)],
    ["blocks", () => createBlockCheck(db, seen, mend)],
    ["pages", () => createPageCheck(db, seen, mend)],
    ["newest", () => createNewestCheck(db, mend)],
  ];
  for (const [part, begin] of parts) {
    const { step } = begin();
    const transaction = db.transaction(step);
    const next = mend ? transaction.immediate : transaction;
    for (let made = next(); made !== null; made = next()) yield { part, ...made };
  }
}
