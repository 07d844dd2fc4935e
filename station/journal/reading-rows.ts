import type { ClockRecord } from "./clock/record.js";
import { placedColumns } from "./clock/spans.js";
import { type Columns, REASON_CODES } from "./columns.js";
import type { Db } from "./database.js";
import { createLiveRollups } from "./live-rollups.js";
import { layOut, type Stretch } from "./stretch.js";
import { sumOfColumns } from "./stretch-sums.js";

const COLUMNS = ["channel", "session", "wall", "mono", "value", "quality", "reason"];
/** Rows to an INSERT where there are as many: half the time of one row each, for there are fewer calls to make. */
const ROWS_AT_ONCE = 20;

function insertSql(rows: number): string {
  const row = `(${COLUMNS.map(() => "?").join(", ")})`;
  return `INSERT INTO reading (${COLUMNS.join(", ")}) VALUES ${new Array<string>(rows).fill(row).join(", ")}`;
}

/** The rows of readings, the stretches that say where they are, and the numbers of their channels. All in transactions of the caller's. */
export interface ReadingRows {
  write(readings: Columns, parcel: number): void;
  /** The number of a channel by its id, given out on first use. */
  channelNumber(id: string): number;
  /** What was written last was taken back, or placed anew: what is remembered of it may be so no more. */
  forget(): void;
  /** The same of the numbers alone: an action that had given some out was taken back. */
  forgetNumbers(): void;
}

export function createReadingRows(
  db: Db,
  { number: session, bootId }: { readonly number: number; readonly bootId: string },
  clock: ClockRecord,
): ReadingRows {
  const channelNumbers = new Map<string, number>();
  let stretch: Stretch | null = null;

  const findChannel = db.prepare<[string], number>("SELECT id FROM channel WHERE name = ?").pluck();
  const insertChannel = db
    .prepare<[string], number>("INSERT INTO channel (name) VALUES (?) RETURNING id")
    .pluck();
  const insertOne = db.prepare(insertSql(1));
  const insertMany = db.prepare(insertSql(ROWS_AT_ONCE));
  const saveStretch = db.prepare(
    `INSERT INTO stretch (first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, parcel, sum)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (first_id) DO UPDATE SET last_id = excluded.last_id, min_wall = excluded.min_wall,
       max_wall = excluded.max_wall, min_mono = excluded.min_mono, max_mono = excluded.max_mono, parcel = excluded.parcel,
       sum = sum + excluded.sum`,
  );
  const live = createLiveRollups(db);

  /** A channel gets its number at its first reading if it was not defined before: no reading is turned away. */
  function channelNumber(id: string): number {
    const known = channelNumbers.get(id);
    if (known !== undefined) return known;
    const number = findChannel.get(id) ?? (insertChannel.get(id) as number);
    channelNumbers.set(id, number);
    return number;
  }

  /** @param added the sum of the rows that are new in it */
  function save(s: Stretch, parcel: number, added: number): void {
    saveStretch.run(s.first, s.last, session, s.minWall, s.maxWall, s.minMono, s.maxMono, parcel, added);
  }

  /** The lock is ours for the whole transaction, so the ids that SQLite hands out are one after another. */
  function write(given: Columns, parcel: number): void {
    const columns = placedColumns(clock.spansOf(bootId), given);
    const numbers = columns.channels.map(channelNumber);
    const cells: unknown[] = [];
    let lastId = 0;
    for (let from = 0; from < columns.count; ) {
      const rows = columns.count - from >= ROWS_AT_ONCE ? ROWS_AT_ONCE : 1;
      for (let row = 0; row < rows; row++) fillRow(cells, row * COLUMNS.length, columns, from + row, numbers);
      cells.length = rows * COLUMNS.length;
      lastId = Number((rows === 1 ? insertOne : insertMany).run(cells).lastInsertRowid);
      from += rows;
    }
    const firstId = lastId - columns.count + 1;
    for (const touched of layOut(stretch, firstId, columns)) {
      const from = Math.max(touched.first, firstId) - firstId;
      const to = touched.last - firstId + 1;
      save(touched, parcel, sumOfColumns(columns, from, to, firstId, numbers));
      live.add(touched.first, columns, from, to, numbers);
      stretch = touched;
    }
  }

  /**
   * better-sqlite3 binds every number as REAL, and NaN as NULL; the INTEGER affinity of the columns makes whole ones
   * integers again.
   */
  function fillRow(
    cells: unknown[],
    at: number,
    columns: Columns,
    i: number,
    numbers: readonly number[],
  ): void {
    cells[at] = numbers[columns.channel[i] as number];
    cells[at + 1] = session;
    cells[at + 2] = columns.wall[i];
    cells[at + 3] = columns.mono[i];
    cells[at + 4] = columns.value[i];
    cells[at + 5] = columns.quality[i];
    cells[at + 6] = REASON_CODES[(columns.reason[i] as number) - 1] ?? null;
  }

  return {
    write,
    channelNumber,
    forget() {
      channelNumbers.clear();
      stretch = null;
    },
    forgetNumbers: () => channelNumbers.clear(),
  };
}
