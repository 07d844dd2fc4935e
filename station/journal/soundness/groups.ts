import type { Db } from "../database.js";
import { isoWall } from "../sealed.js";
import type { Seen } from "./blocks.js";
import type { Part } from "./part.js";

/** A step's worth: some milliseconds on a Pi. */
const GROUPS_A_STEP = 256;

interface GroupRecord {
  readonly first_id: number;
  readonly min_wall: number;
  readonly max_wall: number;
  readonly blocks: number;
  readonly there: number;
}

/**
 * Every sealed group: are all its blocks there? Those that are gone leave no trace of themselves.
 * @param since those with a greater first id only
 */
export function createGroupCheck(db: Db, seen: Seen, since = Number.MIN_SAFE_INTEGER): Part {
  const some = db.prepare<[number, number], GroupRecord>(
    `SELECT s.first_id, s.min_wall, s.max_wall, s.blocks,
       (SELECT count(*) FROM block b WHERE b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1 AND b.sealed = s.first_id) AS there
     FROM sealed s WHERE s.first_id > ? ORDER BY s.first_id LIMIT ?`,
  );
  const of = db
    .prepare<[number], number>("SELECT count(*) FROM sealed WHERE first_id > ?")
    .pluck()
    .get(since) as number;
  let after = since;
  let done = 0;
  return {
    step() {
      const groups = some.all(after, GROUPS_A_STEP);
      const last = groups.at(-1);
      if (last === undefined) return null;
      after = last.first_id;
      done += groups.length;
      const found = groups
        .filter(({ blocks, there }) => there !== blocks)
        .map(({ min_wall, max_wall, blocks, there }) => {
          // Of which channels nobody can tell.
          seen.lost.push({ min_wall, max_wall });
          const words = `${blocks - there} of ${blocks} blocks of readings from ${isoWall(min_wall)} to ${isoWall(max_wall)}`;
          return { what: "readings" as const, words, mended: false };
        });
      return { done, of, found };
    },
  };
}
