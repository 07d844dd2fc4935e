import { AppError } from "../errors.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";
import { isoWall } from "./sealed.js";
import { createStretchRows } from "./stretch-rows.js";
import { SUM_OF_ROWS } from "./stretch-sums.js";

interface Span {
  readonly min_wall: number;
  readonly max_wall: number;
}

interface StretchRecord extends Span {
  readonly first_id: number;
  readonly last_id: number;
  readonly min_mono: number;
  readonly max_mono: number;
  readonly sum: number;
}

export function damagedRows({ min_wall, max_wall }: Span): AppError {
  return new AppError(
    "readings-damaged",
    `The readings from ${isoWall(min_wall)} to ${isoWall(max_wall)} are damaged in the journal and are not shown: put ` +
      "back a backup that has them. The rows are not what was written.",
  );
}

/** Stretches whose rows are not as they were written, in words; reads all rows. */
export function unsoundStretches(db: Db): string[] {
  return db
    .prepare<[], Span>(`SELECT min_wall, max_wall FROM stretch WHERE sum IS NOT ${SUM_OF_ROWS}`)
    .all()
    .map(
      ({ min_wall, max_wall }) =>
        `the readings from ${isoWall(min_wall)} to ${isoWall(max_wall)} are not as they were written`,
    );
}

export interface CheckedStretches {
  /**
   * Looks at all rows of the stretches that overlap a window of either clock, both ends included, but for those that this
   * connection has looked at before. Inside the transaction of the question.
   * @throws AppError "readings-damaged", "records-damaged"
   */
  check(clock: "wall" | "mono", from: number, to: number): void;
}

/** What has been looked at of a stretch: up to which row, and what these add up to. */
interface Looked {
  readonly last: number;
  readonly sum: number;
}

export function createCheckedStretches(db: Db): CheckedStretches {
  // All of them: where one says that it lies elsewhere, it is not looked for.
  const stretches = db.prepare<[], StretchRecord>(`SELECT * FROM stretch WHERE ${sound("stretch")}`);
  const rows = createStretchRows(db);
  let looked = new Map<number, Looked>();

  function look(stretch: StretchRecord, known: Looked | undefined): Looked {
    const { first_id, last_id, sum } = stretch;
    if (known?.last === last_id && known.sum === sum) return known;
    const grown = known !== undefined && known.sum + rows.sum(known.last + 1, last_id) === sum;
    if (!grown && rows.sound(first_id, last_id, sum) === null) throw damagedRows(stretch);
    return { last: last_id, sum };
  }

  return {
    check(clock, from, to) {
      const now = new Map<number, Looked>();
      for (const stretch of stretches.all()) {
        const known = looked.get(stretch.first_id);
        const within = stretch[`max_${clock}`] >= from && stretch[`min_${clock}`] <= to;
        const seen = within ? look(stretch, known) : known;
        if (seen !== undefined) now.set(stretch.first_id, seen);
      }
      looked = now;
    },
  };
}
