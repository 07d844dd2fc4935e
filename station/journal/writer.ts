import { createActions, onlyLooks } from "./actions.js";
import { createPlacer } from "./clock/placer.js";
import { createClockRecord } from "./clock/record.js";
import { placedColumns } from "./clock/spans.js";
import { type Columns, REASON_CODES } from "./columns.js";
import type { Db } from "./database.js";
import { tendWal, type WalState } from "./disk/wal.js";
import { createLiveRollups } from "./live-rollups.js";
import type { Action, ActionResult, Parcel, Receipt, Refusal, SessionStart } from "./protocol.js";
import { refusalOf } from "./refusal.js";
import { createSealer } from "./sealing.js";
import { layOut, type Stretch } from "./stretch.js";
import { sumOfColumns } from "./stretch-sums.js";
import { createThinner } from "./thinning/thinner.js";
import { passingTrouble } from "./trouble.js";

/**
 * How durable a commit is. Whatever is answered (runs, alarms, settings, `flush`) commits with synchronous=FULL: it is
 * on the disk before the answer. Readings by themselves commit at NORMAL, which costs no wait for the disk; a stopped or
 * killed process loses none of them, only a power cut can take those since the last FULL commit. Because the WAL is
 * written in sequence, a FULL commit brings every earlier one to the disk with it: so the readings a stamp rests on are
 * as safe as the stamp, and one commit in each `FULL_EVERY_MS` is a FULL one, which bounds what a power cut can take.
 */
export const FULL_EVERY_MS = 10_000;

export interface Writer {
  /** Number of the session. */
  readonly session: number;
  /**
   * One transaction: the readings, then the action. A parcel that has been committed before is answered again and not
   * written twice. An action that is refused takes nothing back but itself.
   * @param room false: the readings are held, and the action is committed without them. So are those of all that follow
   * until the caller has given the held ones again, in order: what was written of a parcel given twice is known by that.
   * @throws the SQLite error of a passing trouble (see `passingTrouble`): nothing was written, the same parcel may be tried again
   */
  commit(parcel: Parcel, room?: boolean): Receipt;
  /**
   * A step of placing readings from before the clock was set, or else of sealing old ones, or else of thinning those that
   * were ordered to be, between commits.
   * @returns whether there was something to do
   * @throws as `Placer.step`, `Sealer.step` and `Thinner.step`
   */
  tidy(): boolean;
  /** @param file of the WAL @throws as `tendWal` */
  tendWal(file: string): WalState;
  close(): void;
}

const COLUMNS = ["channel", "session", "wall", "mono", "value", "quality", "reason"];
/** Rows to an INSERT where there are as many: half the time of one row each, for there are fewer calls to make. */
const ROWS_AT_ONCE = 20;

function insertSql(rows: number): string {
  const row = `(${COLUMNS.map(() => "?").join(", ")})`;
  return `INSERT INTO reading (${COLUMNS.join(", ")}) VALUES ${new Array<string>(rows).fill(row).join(", ")}`;
}

/**
 * The one writing connection, without its thread.
 * @param now monotonic milliseconds
 */
export function createWriter(db: Db, start: SessionStart, now: () => number): Writer {
  let full: boolean | null = null;
  let lastFull = Number.NEGATIVE_INFINITY;
  /** SQLite takes this pragma between transactions only; inside one of the caller's, its own commit decides. */
  function setDurability(wanted: boolean): void {
    if (full === wanted || db.inTransaction) return;
    db.pragma(`synchronous = ${wanted ? "FULL" : "NORMAL"}`);
    full = wanted;
  }

  setDurability(true);
  const clock = createClockRecord(db);
  const session = db.transaction(() => resumeOrBegin(db, start, clock.begun)).immediate();
  let committed = lastParcel(db, session);
  /** The last parcel whose readings were written; of one that is given twice they may have been held the first time. */
  let written = lastWithReadings(db, session);

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
  const saveParcel = db.prepare("UPDATE session SET parcel = ? WHERE id = ?");

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
  function writeReadings(given: Columns, parcel: number): void {
    const columns = placedColumns(clock.spansOf(start.bootId), given);
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

  const placer = createPlacer(db);
  const sealer = createSealer(db);
  const thinner = createThinner(db);
  const actions = createActions(
    db,
    { number: session, bootId: start.bootId },
    channelNumber,
    clock,
    thinner.order,
  );
  const performAlone = db.transaction(actions.perform);

  const apply = db.transaction(({ number, readings, action }: Parcel): Answer => {
    if (readings !== null) writeReadings(readings, number);
    let result: ActionResult = null;
    let refused: Refusal | null = null;
    if (action !== null) {
      try {
        // Inside another transaction this one is a savepoint.
        result = performAlone(action);
      } catch (error) {
        if (passingTrouble(error) !== null) throw error;
        channelNumbers.clear();
        refused = refusalOf(error);
      }
      if (!onlyLooks(action)) saveParcel.run(number, session);
    }
    return { result, refused };
  });

  function attempt(parcel: Parcel): Answer & { readonly tookMs: number } {
    const durable =
      (parcel.action !== null && !onlyLooks(parcel.action)) || now() - lastFull >= FULL_EVERY_MS;
    // A disk that hangs does so as early as at the lock, so waiting for that counts as well.
    const begun = now();
    setDurability(durable);
    try {
      const answer = apply.immediate(parcel);
      const done = now();
      if (durable) lastFull = done;
      if (parcel.readings !== null) written = parcel.number;
      return { ...answer, tookMs: done - begun };
    } catch (error) {
      // What was rolled back may have given out channel numbers and stretched the stretch.
      channelNumbers.clear();
      stretch = null;
      throw error;
    }
  }

  /** With its readings, unless they themselves are at fault: they must not hold up what comes after them for ever. */
  function write(parcel: Parcel): Receipt {
    try {
      return { ...attempt(parcel), lost: 0, held: false };
    } catch (error) {
      if (passingTrouble(error) !== null || parcel.readings === null) throw error;
      return { ...attempt({ ...parcel, readings: null }), lost: parcel.readings.count, held: false };
    }
  }

  return {
    session,
    commit(parcel, room = true) {
      const isRepeated = parcel.number <= committed;
      const unwritten = parcel.readings !== null && !(isRepeated && parcel.number <= written);
      const given: Parcel = {
        number: parcel.number,
        readings: unwritten && room ? parcel.readings : null,
        action: isRepeated ? null : parcel.action,
      };
      const nothing: Receipt = { result: null, refused: null, lost: 0, held: false, tookMs: null };
      const receipt = given.readings === null && given.action === null ? nothing : write(given);
      const held = unwritten && !room;
      // What is only held has not been committed.
      if (!held || parcel.action !== null) committed = Math.max(committed, parcel.number);
      const again = isRepeated && parcel.action !== null;
      return { ...receipt, ...(again ? { result: actions.repeat(parcel.action as Action) } : {}), held };
    },
    tidy() {
      if (!placer.step()) return sealer.step() || thinner.step();
      // Both remember what they have read of rows that may have been placed.
      stretch = null;
      sealer.forget();
      return true;
    },
    tendWal: (file) => tendWal(db, file),
    close() {
      db.close();
    },
  };
}

function resumeOrBegin(db: Db, start: SessionStart, begun: (session: number) => void): number {
  const known = db
    .prepare<[string], number>("SELECT id FROM session WHERE start = ?")
    .pluck()
    .get(start.start);
  if (known !== undefined) return known;
  const { bootId, at, clock, version, simulated, configHash } = start;
  const made = db
    .prepare<unknown[], number>(
      `INSERT INTO session (start, boot_id, started_wall, started_mono, clock, version, simulated, config_hash)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
    )
    .pluck()
    .get(start.start, bootId, at.wall, at.mono, clock, version, simulated ? 1 : 0, configHash) as number;
  begun(made);
  return made;
}

type Answer = Pick<Receipt, "result" | "refused">;

/** The newest stretch of a session is not sealed while it lasts, so what it says is there. */
function lastWithReadings(db: Db, session: number): number {
  return db
    .prepare<[number], number>("SELECT coalesce(max(parcel), 0) FROM stretch WHERE session = ?")
    .pluck()
    .get(session) as number;
}

/** Parcels are committed in the order of their numbers, so the greatest one is the last. */
export function lastParcel(db: Db, session: number): number {
  return db
    .prepare<[number, number], number>(
      `SELECT max(coalesce((SELECT max(parcel) FROM stretch WHERE session = ?), 0),
                  (SELECT parcel FROM session WHERE id = ?))`,
    )
    .pluck()
    .get(session, session) as number;
}
