import { AppError } from "../errors.js";
import { crc32 } from "./crc32.js";
import type { Db } from "./database.js";

/**
 * SQLite has checksums for the frames of its WAL and none for the pages of its file: a sector that a worn card gives back
 * as zeros can be read as a row of other numbers. So each row of these tables carries a CRC-32 of its columns, kept up by
 * triggers of the writing connection (TEMP: they are not in the file, which stays one that any SQLite can open), and every
 * question looks at it. Blocks, their minutes and the pages of rollups have a checksum of their own in their bytes, and
 * the rows of `reading` one sum for each stretch (`stretch-sums.ts`).
 *
 * A later migration that adds a column leaves it out here, or works the checksums out anew.
 */
export const CHECKED_ROWS = {
  session: "id, start, boot_id, started_wall, started_mono, clock, version, simulated, config_hash, parcel",
  channel: "id, name",
  channel_definition: "id, channel, session, name, kind, unit, definition",
  stretch: "first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, parcel, sum",
  sealed: "first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, first_block, blocks, revision",
  live_minute: "stretch, minute, channel, min, max, sum, count, bad",
  run: "number, id, session, cause, start_wall, start_mono, boot_id, clock_at_start, settings, simulated, end_wall, end_mono, end_cause, stamp, placed_start, placed_end",
  setting_change: "id, session, wall, mono, subject, path, old, new, by",
  alarm_transition:
    "seq, id, session, alarm, kind, title, priority, transition, from_state, to_state, wall, mono, detail, run, by",
  maintenance: "id, session, kind, wall, mono, note",
  lot: "number, id, session, wall, mono, facts",
  plan: "number, id, session, wall, mono, facts",
  specimen: "id, code, plan, session, block, place, lot, setting, replaces",
  trial_entry: "id, entry, session, wall, mono, plan, kind, subject, property, body, entered_wall, by",
  deed: "id, session, wall, mono, who, role, address, what, subject, outcome, detail",
  notice: "id, key, way, session, wall, mono, payload, state, message, attempts, next_wall, done_wall, error",
} as const;
export type CheckedTable = keyof typeof CHECKED_ROWS;

/** What the people call them. */
const NAMES: Readonly<Record<CheckedTable, string>> = {
  session: "starts of the station",
  channel: "channels",
  channel_definition: "definitions of channels",
  stretch: "stretches of readings",
  sealed: "groups of sealed readings",
  live_minute: "newest minutes",
  run: "runs",
  setting_change: "changes of settings",
  alarm_transition: "alarms",
  maintenance: "maintenance",
  lot: "lots",
  plan: "plans",
  specimen: "specimens",
  trial_entry: "grades and other entries",
  deed: "entries of who did what",
  notice: "messages that are to be sent",
};
const KEYS: Partial<Readonly<Record<CheckedTable, string>>> = { live_minute: "stretch, minute, channel" };

function tables(): CheckedTable[] {
  return Object.keys(CHECKED_ROWS) as CheckedTable[];
}

/** Those that a file has: one of an earlier version is without the later ones. */
function tablesOf(db: Db): CheckedTable[] {
  const there = db.prepare<[], string>("SELECT name FROM main.sqlite_schema WHERE type = 'table'").pluck();
  const names = new Set(there.all());
  return tables().filter((table) => names.has(table));
}

function columnsOf(table: CheckedTable, prefix: string): string {
  return CHECKED_ROWS[table]
    .split(", ")
    .map((column) => `${prefix}"${column}"`)
    .join(", ");
}

/** The checksum of a row, in SQL. */
function rowCrc(table: CheckedTable, prefix = ""): string {
  return `row_crc('${table}', ${columnsOf(table, prefix)})`;
}

/**
 * A condition that is true of every row that is as it was written; the question fails with AppError "records-damaged" at
 * the first that is not. A subquery, because of `channel = ?` beside it SQLite would put the number asked for into the
 * checksum instead of the one in the row. SQLite looks at it last: where a row that is damaged must not hide behind
 * another condition, that one goes into a CASE after this.
 * @param alias what the table is called in the question
 */
export function sound(table: CheckedTable, alias: string = table): string {
  return `(SELECT row_sound('${table}', ${alias}.crc, ${rowCrc(table, `${alias}.`)}))`;
}

/** Whether a row is not as it was written, in SQL. */
export function unsound(table: CheckedTable): string {
  return `crc IS NOT ${rowCrc(table)}`;
}

/** Tables that were there before rows had checksums; those that came later were made with the column. */
const EARLIEST: readonly CheckedTable[] = [
  "session",
  "channel",
  "channel_definition",
  "stretch",
  "sealed",
  "live_minute",
  "run",
  "setting_change",
  "alarm_transition",
  "maintenance",
];
/** To be run in the migration that brought them, over tables that have been given the column. */
export const FILL_ROW_CRCS = EARLIEST.map((table) => `UPDATE ${table} SET crc = ${rowCrc(table)};`).join(
  "\n",
);
export const ADD_ROW_CRCS = EARLIEST.map((table) => `ALTER TABLE ${table} ADD COLUMN crc INTEGER;`).join(
  "\n",
);

/** Gives a connection what `sound`, the migrations and the triggers need. */
export function defineRowChecks(db: Db): void {
  db.function("row_crc", { varargs: true, deterministic: true }, (...cells: unknown[]) =>
    crc32(Buffer.from(JSON.stringify(cells))),
  );
  db.function("row_sound", { deterministic: true }, (table: unknown, kept: unknown, now: unknown) => {
    if (kept === now) return 1;

    const mend =
      table === "live_minute"
        ? "stop the station and make them anew (verify --repair)"
        : "put back a backup that has them";
    throw new AppError(
      "records-damaged",
      `Some of the ${NAMES[table as CheckedTable]} are damaged in the journal and are not shown: ${mend}.`,
    );
  });
}

/** On the connection that writes: whatever is written from now on carries its checksum. */
export function keepRowChecks(db: Db): void {
  for (const table of tablesOf(db)) {
    const key = KEYS[table] ?? "rowid";
    const same = key
      .split(", ")
      .map((column) => `${column} = NEW.${column}`)
      .join(" AND ");
    const columns = columnsOf(table, "");
    for (const [name, when] of [
      ["inserted", "INSERT"],
      ["updated", `UPDATE OF ${columns}`],
    ] as const) {
      db.exec(
        `CREATE TEMP TRIGGER ${table}_${name} AFTER ${when} ON main.${table}
         BEGIN UPDATE ${table} SET crc = ${rowCrc(table)} WHERE ${same}; END`,
      );
    }
  }
}

/**
 * Every table with rows that are not as they were written, in words; reads them all. Of the newest minutes the look at the
 * rollups says so, which can make them anew.
 */
export function unsoundRows(db: Db): string[] {
  return tablesOf(db).flatMap((table) => {
    if (table === "live_minute") return [];
    const count = db
      .prepare<[], number>(`SELECT count(*) FROM ${table} WHERE ${unsound(table)}`)
      .pluck()
      .get() as number;
    return count === 0 ? [] : [`${count} of the ${NAMES[table]} are not as they were written`];
  });
}
