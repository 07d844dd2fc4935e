import { createActions, onlyLooks } from "./actions.js";
import { createPlacer } from "./clock/placer.js";
import { createClockRecord } from "./clock/record.js";
import type { Db } from "./database.js";
import { whileHeld } from "./disk/held-stamp.js";
import { tendWal, type WalState } from "./disk/wal.js";
import type { Action, Parcel, Receipt, SessionStart } from "./protocol.js";
import { createReadingRows } from "./reading-rows.js";
import { cannotBeKept, refusalOf } from "./refusal.js";
import { createSealer } from "./sealing.js";
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
   * As many of these, from the first on, as go together into one transaction, each as `commit` does it: what one action is refused for
   * takes back nothing of the others. All of them, unless the readings of one are at fault; then the first by itself.
   * @param parcels in the order of their numbers, one at least
   * @param held readings that came before these are still in memory only, though there may be room for them again
   * @returns the receipts of the first of them, one at least
   * @throws as `commit`: nothing of those was written
   */
  commitTogether(parcels: readonly Parcel[], room?: boolean, held?: boolean): Receipt[];
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

  const saveParcel = db.prepare("UPDATE session SET parcel = ? WHERE id = ?");

  const rows = createReadingRows(db, { number: session, bootId: start.bootId }, clock);
  const placer = createPlacer(db);
  const sealer = createSealer(db);
  const thinner = createThinner(db);
  const actions = createActions(
    db,
    { number: session, bootId: start.bootId },
    rows.channelNumber,
    clock,
    thinner.order,
  );
  const performAlone = db.transaction(actions.perform);

  function apply({ number, readings, action }: Parcel): Answer {
    if (readings !== null) rows.write(readings, number);
    if (action === null) return { result: null, refused: null };
    let answer: Answer;
    try {
      // Inside another transaction this one is a savepoint.
      answer = { result: performAlone(action), refused: null };
    } catch (error) {
      if (passingTrouble(error) !== null) throw error;
      rows.forgetNumbers();
      answer = { result: null, refused: refusalOf(error) };
    }
    if (!onlyLooks(action)) saveParcel.run(number, session);
    return answer;
  }
  const applyAll = db.transaction((parcels: readonly Parcel[]): Answer[] => parcels.map(apply));

  /** @returns an answer for each, the first with the time that all of them took */
  function attempt(parcels: readonly Parcel[]): (Answer & Pick<Receipt, "tookMs">)[] {
    const durable =
      parcels.some(({ action }) => action !== null && !onlyLooks(action)) ||
      now() - lastFull >= FULL_EVERY_MS;
    // A disk that hangs does so as early as at the lock, so waiting for that counts as well.
    const begun = now();
    setDurability(durable);
    try {
      const answers = applyAll.immediate(parcels);
      const done = now();
      if (durable) lastFull = done;
      written = parcels.findLast(({ readings }) => readings !== null)?.number ?? written;
      return answers.map((answer, i) => ({ ...answer, tookMs: i === 0 ? done - begun : null }));
    } catch (error) {
      // What was rolled back may have given out channel numbers and stretched the stretch.
      rows.forget();
      throw error;
    }
  }

  /** With its readings, unless they themselves are at fault: they must not hold up what comes after them for ever. */
  function writeAlone(parcel: Parcel): Written {
    try {
      return { ...(attempt([parcel])[0] as Written), lost: 0 };
    } catch (error) {
      if (passingTrouble(error) !== null) throw error;
      const { readings } = parcel;
      if (readings === null) return cannotBeKept(parcel, error);
      return { ...writeAlone({ ...parcel, readings: null }), lost: readings.count };
    }
  }

  /** What was kept before is answered again; what was refused is so again. */
  function repeated(action: Action): Answer {
    try {
      return { result: actions.repeat(action), refused: null };
    } catch (error) {
      if (passingTrouble(error) !== null) throw error;
      return { result: null, refused: refusalOf(error) };
    }
  }

  /** All of them, or the first; by their numbers. */
  function write(parcels: readonly Parcel[]): Map<number, Written> {
    const [first, ...others] = parcels;
    if (first === undefined) return new Map();
    if (others.length > 0) {
      try {
        const answers = attempt(parcels);
        return new Map(parcels.map(({ number }, i) => [number, { ...(answers[i] as Written), lost: 0 }]));
      } catch (error) {
        if (passingTrouble(error) !== null) throw error;
      }
    }
    return new Map([[first.number, writeAlone(first)]]);
  }

  function commitTogether(parcels: readonly Parcel[], room = true, heldBefore = !room): Receipt[] {
    const looked = parcels.map(({ number, readings, action }) => {
      const isRepeated = number <= committed;
      const unwritten = readings !== null && !(isRepeated && number <= written);
      const given = {
        number,
        readings: unwritten && room ? readings : null,
        action: isRepeated || action === null ? null : heldBefore ? whileHeld(action) : action,
      };
      return { given, held: unwritten && !room, again: isRepeated ? action : null, acts: action !== null };
    });
    const answers = write(looked.map(({ given }) => given).filter(writesSomething));
    const receipts: Receipt[] = [];
    for (const { given, held, again, acts } of looked) {
      const answer = writesSomething(given) ? answers.get(given.number) : NOTHING;
      // It did not go together with those before it.
      if (answer === undefined) break;
      // What is only held has not been committed.
      if (!held || acts) committed = Math.max(committed, given.number);
      receipts.push({ ...answer, ...(again === null ? {} : repeated(again)), held });
    }
    return receipts;
  }

  return {
    session,
    commit: (parcel, room) => commitTogether([parcel], room)[0] as Receipt,
    commitTogether,
    tidy() {
      if (!placer.step()) return sealer.step() || thinner.step();
      // Both remember what they have read of rows that may have been placed.
      rows.forget();
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
type Written = Omit<Receipt, "held">;
/** The answer to what has nothing to write any more. */
const NOTHING: Written = { result: null, refused: null, lost: 0, tookMs: null };

function writesSomething({ readings, action }: Parcel): boolean {
  return readings !== null || action !== null;
}

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
