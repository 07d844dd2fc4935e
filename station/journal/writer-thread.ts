/** The thread of the one connection that writes. A commit may take seconds here and nobody minds. */
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { AppError } from "../errors.js";
import { JOURNAL_FILE, openForWriting, refusalToOpen, requireSqlite, sqliteVersion } from "./database.js";
import { freeBytesAt, hasRoomFor, type RoomFor } from "./disk/room.js";
import { type FolderLock, lockFolder } from "./lock.js";
import type {
  Delivered,
  FileIdentity,
  Parcel,
  Receipt,
  WriterCalls,
  WriterNotice,
  WriterOpened,
  WriterOpening,
} from "./protocol.js";
import { cannotBeKept } from "./refusal.js";
import { checkSameFile, fileAt } from "./same-file.js";
import { answerCalls } from "./thread.js";
import { JournalTaken, openingTrouble, passingTrouble } from "./trouble.js";
import { createWriter, type Writer } from "./writer.js";

const LONGEST_RETRY_MS = 10_000;
const LONGEST_REOPEN_MS = 30_000;
/** Between two steps of placing and sealing; whatever has come to be committed meanwhile goes first. */
const TIDY_STEP_MS = 20;

/** Bringing a journal up to date that is smaller than this is done before anybody has read that it is being done. */
const LARGE_BYTES = 32e6;

interface Opened {
  readonly writer: Writer;
  readonly wal: string;
  hasRoomFor(what: RoomFor): boolean;
  readonly file: FileIdentity;
  /**
   * @throws JournalGone if the journal's file, or the WAL that its commits go to first, is no longer the one that is open;
   * JournalTaken if the folder is another station's now
   */
  check(): void;
}

let lock: FolderLock | null = null;
let open: Opened | null = null;
let retryMs = 0;
let sealEveryMs = 0;
let tidying: NodeJS.Timeout | null = null;
let looking: NodeJS.Timeout | null = null;
/** The disk has no room for readings; until those that were held are given again, all that come are held. */
let holding = false;
let committing = false;
let unsealed: string | null = null;

function monotonic(): number {
  return performance.now();
}

function opened(): Opened {
  if (open === null) throw new Error("The journal is not open in this thread.");
  return open;
}

function notify(notice: WriterNotice): void {
  side.notify(notice);
}

function tell(trouble: string | null): void {
  notify({ trouble });
}

/** The pause doubles up to its longest. */
function pauseAfter(tries: number, first: number, longest: number): Promise<void> {
  return delay(Math.min(longest, first * 2 ** Math.min(tries, 10)), undefined, { signal: side.ending });
}

function openOnce({ folder, session, busyTimeoutMs, file: known, reserveBytes }: WriterOpening): Opened {
  requireSqlite(sqliteVersion());
  lock ??= lockFolder(folder, busyTimeoutMs);
  const path = join(folder, JOURNAL_FILE);
  if (known !== null) checkSameFile(path, known);
  const db = openForWriting(folder, { busyTimeoutMs, onMigrating: tellMigrating });
  try {
    const file = fileAt(path);
    const writer = createWriter(db, session, monotonic);
    const wal = fileAt(`${path}-wal`);
    const check = () => {
      checkSameFile(path, file);
      checkSameFile(`${path}-wal`, wal);
      holdLock();
    };
    return {
      writer,
      file,
      check,
      wal: `${path}-wal`,
      hasRoomFor: (what) => hasRoomFor(what, freeBytesAt(folder), reserveBytes),
    };
  } catch (error) {
    db.close();
    throw refusalToOpen(folder, error);
  }
}

function tellMigrating(bytes: number): void {
  if (bytes < LARGE_BYTES) return;
  const size = `${Math.round(bytes / 1e6)} MB`;
  tell(
    `it is being brought up to date with this version of the station, which takes a while for its ${size}`,
  );
}

/** Where the disk stands in the way of the lock, nobody else comes by it either. @throws JournalTaken */
function holdLock(): void {
  try {
    lock?.hold();
  } catch (error) {
    if (error instanceof AppError && error.code === "journal-in-use") throw new JournalTaken();
  }
}

/** Tries until it is open or has been refused for good. */
async function openJournalFile(opening: WriterOpening): Promise<WriterOpened> {
  ({ retryMs, sealEveryMs } = opening);
  for (let tries = 0; ; tries++) {
    try {
      open = openOnce(opening);
      // A start may have to go on with what the one before was cut off from.
      tidySoon();
      looking = setInterval(look, opening.lookEveryMs);
      return { session: open.writer.session, file: open.file };
    } catch (error) {
      const trouble = openingTrouble(error);
      if (trouble === null) throw error;
      tell(`it cannot be opened: ${trouble}`);
    }
    await pauseAfter(tries, opening.reopenMs, LONGEST_REOPEN_MS);
  }
}

/** Tries until all are done: what comes after must not overtake them, and the main thread holds the readings meanwhile. */
async function commit({ parcels, resume, last }: Delivered): Promise<Receipt[]> {
  committing = true;
  try {
    // Those that were held come behind what waited for this commit.
    const held = holding;
    if (resume) holding = false;
    const receipts: Receipt[] = [];
    while (receipts.length < parcels.length)
      receipts.push(...(await commitAtLast(parcels.slice(receipts.length), held, last)));
    return receipts;
  } finally {
    committing = false;
  }
}

/** @returns the receipts of the first of them, one at least */
async function commitAtLast(parcels: readonly Parcel[], held: boolean, last: boolean): Promise<Receipt[]> {
  for (let tries = 0; ; tries++) {
    try {
      const { writer, check, hasRoomFor } = opened();
      check();
      const haveReadings = parcels.some(({ readings }) => readings !== null);
      holding ||= haveReadings && !hasRoomFor(last ? "lastReadings" : "readings");
      const receipts = writer.commitTogether(parcels, !holding, held || holding);
      if (parcels.some(({ action }) => action?.name === "clockStepped")) tidySoon();
      // What went into a file that was removed in that moment is not kept, so it is not answered either.
      check();
      if (tries > 0) tell(null);
      return receipts;
    } catch (error) {
      const trouble = passingTrouble(error);
      if (trouble === null) return parcels.map((parcel) => cannotBeKept(parcel, error));
      tell(trouble);
    }
    await pauseAfter(tries, retryMs, LONGEST_RETRY_MS);
  }
}

/** A station with nothing to write is told as well. Not while a commit waits for the disk, where a look would wait too. */
function look(): void {
  if (open === null || committing) return;
  try {
    open.check();
  } catch (error) {
    tell(passingTrouble(error));
    return;
  }
  if (holding && open.hasRoomFor("resuming")) notify({ room: true });
  try {
    notify({ wal: open.writer.tendWal(open.wal) });
  } catch {
    // What is wrong with the disk is said by the commits, and the WAL has time.
  }
}

/** Not while a commit is waiting for the disk: what it waits for, sealing would wait for too. */
function tidySome(): void {
  let more = false;
  try {
    if (!committing) open?.check();
    if (open !== null && !committing && !open.hasRoomFor("sealing")) {
      if (unsealed === null) tellUnsealed("there is too little room on the disk for it");
    } else more = !committing && (open?.writer.tidy() ?? false);
    if (more && unsealed !== null) tellUnsealed(null);
  } catch (error) {
    // What passes is said by the commits, and sealing has time.
    if (passingTrouble(error) === null) tellUnsealed(error instanceof Error ? error.message : String(error));
  }
  tidying = setTimeout(tidySome, more ? Math.min(TIDY_STEP_MS, sealEveryMs) : sealEveryMs);
}

/** Whoever sees that the clock has been set will look at what was cut before it was. */
function tidySoon(): void {
  if (tidying !== null) clearTimeout(tidying);
  tidying = setTimeout(tidySome, Math.min(TIDY_STEP_MS, sealEveryMs));
}

function tellUnsealed(words: string | null): void {
  unsealed = words;
  notify({ unsealed: words });
}

const side = answerCalls<WriterCalls>({ open: openJournalFile, commit }, () => {
  if (looking !== null) clearInterval(looking);
  if (tidying !== null) clearTimeout(tidying);
  open?.writer.close();
  lock?.release();
});
