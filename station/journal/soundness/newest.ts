import type { Db } from "../database.js";
import { emptyRollup, type Rollup } from "../rollup.js";
import { unsound } from "../row-checks.js";
import { LIVE_COLUMNS, liveMinutesQuery } from "../schema.js";
import { isoWall } from "../sealed.js";
import { alikeRollups } from "./alike.js";
import type { Found, Part } from "./part.js";

interface LiveRow {
  readonly minute: number;
  readonly channel: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly sum: number;
  readonly count: number;
  readonly bad: number;
}

interface StretchRecord {
  readonly first_id: number;
  readonly min_wall: number;
  readonly max_wall: number;
}

/** The minutes of readings that are rows, a stretch at a time. */
export function createNewestCheck(db: Db, mend: boolean): Part {
  const next = db.prepare<[number], StretchRecord>(
    "SELECT first_id, min_wall, max_wall FROM stretch WHERE first_id > ? ORDER BY first_id LIMIT 1",
  );
  const expected = db.prepare<[number], LiveRow>(liveMinutesQuery("WHERE s.first_id = ?"));
  const kept = db.prepare<[number], LiveRow>("SELECT * FROM live_minute WHERE stretch = ?");
  const changed = db
    .prepare<[number], number>(
      `SELECT count(*) FROM live_minute WHERE stretch = ? AND ${unsound("live_minute")}`,
    )
    .pluck();
  const remove = db.prepare("DELETE FROM live_minute WHERE stretch = ?");
  const insert = db.prepare(
    `INSERT INTO live_minute (${LIVE_COLUMNS}) ${liveMinutesQuery("WHERE s.first_id = ?")}`,
  );
  const orphans = db.prepare<[], number>(
    "SELECT DISTINCT stretch FROM live_minute WHERE stretch NOT IN (SELECT first_id FROM stretch)",
  );
  const of = db.prepare<[], number>("SELECT count(*) FROM stretch").pluck().get() as number;
  let after = Number.MIN_SAFE_INTEGER;
  let done = 0;
  let ended = false;

  function wrong(words: string): Found {
    return { what: "rollups", words, mended: mend };
  }

  function look({ first_id, min_wall, max_wall }: StretchRecord): Found[] {
    const same = sameRows(expected.all(first_id), kept.all(first_id));
    if (same && changed.get(first_id) === 0) return [];
    if (mend) {
      remove.run(first_id);
      insert.run(first_id);
    }
    return [wrong(`The newest minutes from ${isoWall(min_wall)} to ${isoWall(max_wall)}`)];
  }

  function lookForOrphans(): Found[] {
    const found = orphans.pluck().all();
    if (mend) for (const stretch of found) remove.run(stretch);
    return found.length === 0 ? [] : [wrong("Minutes of readings that are not there")];
  }

  return {
    step() {
      if (ended) return null;
      const stretch = next.get(after);
      if (stretch === undefined) {
        ended = true;
        return { done, of: done, found: lookForOrphans() };
      }
      after = stretch.first_id;
      done++;
      return { done, of, found: look(stretch) };
    },
  };
}

function sameRows(a: readonly LiveRow[], b: readonly LiveRow[]): boolean {
  const channels = new Set([...a, ...b].map(({ channel }) => channel));
  const of = (rows: readonly LiveRow[], wanted: number) =>
    rows.filter(({ channel }) => channel === wanted).map(rollupOf);
  return [...channels].every((channel) => alikeRollups(of(a, channel), of(b, channel)));
}

function rollupOf({ minute, min, max, sum, count, bad }: LiveRow): Rollup {
  const none = emptyRollup(minute);
  return { place: minute, min: min ?? none.min, max: max ?? none.max, sum, count, bad };
}
