import { createReadStream, existsSync, rmSync, statSync } from "node:fs";
import { basename, join } from "node:path";
import { AppError } from "../../errors.js";
import { type Db, JOURNAL_FILE, openForWriting } from "../database.js";
import { requireRoom } from "../disk/fit.js";
import { RESERVE_BYTES } from "../disk/room.js";
import { lockFolder } from "../lock.js";
import { csvRows } from "./csv.js";
import { createIntake, type Imported, type Intake } from "./intake.js";
import { linesOf, textOfFile } from "./lines.js";
import { RUN_COLUMNS } from "./log-csv.js";
import { READING_COLUMNS, readingOfRow } from "./reading-csv.js";
import { checkRecordsHead, recordOfLine } from "./record-lines.js";
import { named, Refused } from "./refused.js";
import { readingsOfSenml } from "./senml-taken-in.js";

const BUSY_TIMEOUT_MS = 5000;

/**
 * Takes a file that was exported into the journal of a folder, which is made where there is none. All of it, or nothing:
 * it is one transaction, which a failure or a pulled plug takes back. Readings and runs that the journal holds already are
 * counted and not kept twice.
 * @throws AppError "import-refused" with the line, what was found and what was expected, or where there is no room; "journal-in-use" while a station
 * writes there; as `openForWriting`
 */
export async function importFile(file: string, folder: string): Promise<Imported> {
  if (!existsSync(file)) throw new AppError("import-refused", `${file} is not there.`);
  const isNew = !existsSync(join(folder, JOURNAL_FILE));
  const lock = lockFolder(folder, BUSY_TIMEOUT_MS);
  let db: Db | null = null;
  let done = false;
  try {
    requireRoom({
      code: "import-refused",
      what: "what this file holds",
      // A row takes about as much as its line of text, once in the WAL and once in the journal, until it is sealed.
      bytes: 2 * statSync(file).size,
      to: folder,
      journal: folder,
      reserveBytes: RESERVE_BYTES,
    });
    db = openForWriting(folder, { busyTimeoutMs: BUSY_TIMEOUT_MS });
    db.exec("BEGIN IMMEDIATE");
    const intake = createIntake(db, isNew ? null : folder);
    try {
      await take(file, intake);
      intake.flush();
      db.exec("COMMIT");
    } catch (error) {
      // A full disk may have taken the transaction back already.
      if (db.inTransaction) db.exec("ROLLBACK");
      throw error;
    }
    done = true;
    return intake.imported;
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    throw new AppError("import-refused", `${basename(file)}, ${error.message}. Nothing was imported.`);
  } finally {
    db?.close();
    if (isNew && !done) removeJournal(folder);
    lock.release();
  }
}

/** What was begun for this import is nobody's yet. */
function removeJournal(folder: string): void {
  for (const end of ["", "-wal", "-shm"]) rmSync(join(folder, JOURNAL_FILE + end), { force: true });
}

async function take(file: string, intake: Intake): Promise<void> {
  const text = textOfFile(createReadStream(file));
  const first = await text.next();
  const head = first.done ? "" : first.value;
  const all = withHead(head, text);
  if (head.startsWith("SQLite format 3\0")) {
    throw new Refused(
      1,
      "a whole journal",
      "a file of readings, runs or alarms; for a journal use: restore FILE",
    );
  }
  if (head.startsWith("[")) await takeSenml(all, intake);
  else if (head.startsWith("{")) await takeRecords(all, intake);
  else await takeCsv(all, intake);
}

async function* withHead(head: string, rest: AsyncIterable<string>): AsyncGenerator<string, void> {
  yield head;
  yield* rest;
}

async function takeCsv(text: AsyncIterable<string>, intake: Intake): Promise<void> {
  let headed = false;
  for await (const row of csvRows(text)) {
    if (headed) {
      intake.reading(readingOfRow(row));
      continue;
    }
    headed = true;
    const columns = row.cells.join(",");
    if (columns === READING_COLUMNS.join(",")) continue;
    if (columns === RUN_COLUMNS.join(",")) {
      throw new Refused(
        1,
        "the table of runs",
        "the runs as lines of JSON: export --what runs --format jsonl",
      );
    }
    throw new Refused(1, named(columns), READING_COLUMNS.join(","));
  }
  if (!headed) throw new Refused(1, "nothing", READING_COLUMNS.join(","));
}

async function takeSenml(text: AsyncIterable<string>, intake: Intake): Promise<void> {
  for await (const { line, text: pack } of linesOf(text)) {
    for (const reading of readingsOfSenml(line, pack)) intake.reading(reading);
  }
}

async function takeRecords(text: AsyncIterable<string>, intake: Intake): Promise<void> {
  for await (const { line, text: record } of linesOf(text)) {
    if (line === 1) {
      checkRecordsHead(record);
      continue;
    }
    const read = recordOfLine(line, record);
    if (read.type === "session") intake.session(read.session);
    else if (read.type === "clock") intake.clock(line, read);
    else if (read.type === "run") intake.run(line, read);
    else intake.alarm(line, read);
  }
}
