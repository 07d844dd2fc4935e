import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import {
  JOURNAL_FILE,
  openForReading,
  openForWriting,
  requireSqlite,
} from "../../../station/journal/database.js";
import { MIGRATIONS } from "../../../station/journal/migrations.js";
import { APPLICATION_ID } from "../../../station/journal/schema.js";
import { openingTrouble } from "../../../station/journal/trouble.js";
import { emptyFolder } from "./samples.js";

let folder: string;
let remove: () => void;
let file: string;
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
  file = join(folder, JOURNAL_FILE);
});
afterEach(() => remove());

const options = { busyTimeoutMs: 50 };

function codeOf(work: () => unknown): string {
  try {
    work();
  } catch (error) {
    return error instanceof AppError ? error.code : String(error);
  }
  return "no error";
}

describe("the version of SQLite", () => {
  it("must be 3.51.3 or later, each part compared as a number", () => {
    for (const version of ["3.51.2", "3.9.9", "2.99.99", "3.51"]) {
      expect(codeOf(() => requireSqlite(version))).toBe("sqlite-too-old");
    }
    for (const version of ["3.51.3", "3.51.10", "3.53.0", "3.100.0", "4.0.0", "3.51.3.1"]) {
      expect(codeOf(() => requireSqlite(version))).toBe("no error");
    }
  });
});

describe("migrations", () => {
  it("are numbered from 1 without gaps", () => {
    expect(MIGRATIONS.map(({ version }) => version)).toEqual(MIGRATIONS.map((_, i) => i + 1));
  });

  it("make a journal in a folder that is not there yet, and mark it as one", () => {
    const deeper = join(folder, "a", "b");
    const db = openForWriting(deeper, options);
    expect(db.pragma("user_version", { simple: true })).toBe(MIGRATIONS.length);
    expect(db.pragma("application_id", { simple: true })).toBe(APPLICATION_ID);
    db.close();
    expect(readdirSync(deeper)).toEqual([JOURNAL_FILE]);
  });

  it("bring an older journal up to date and keep what is in it", () => {
    const db = openForWriting(folder, options);
    db.exec("INSERT INTO channel (name) VALUES ('coolant')");
    db.close();
    const next = MIGRATIONS.length + 1;
    const added = { version: next, sql: "ALTER TABLE channel ADD COLUMN colour TEXT DEFAULT 'plain'" };
    const again = openForWriting(folder, { ...options, migrations: [...MIGRATIONS, added] });
    expect(again.prepare("SELECT id, name, colour FROM channel").all()).toEqual([
      { id: 1, name: "coolant", colour: "plain" },
    ]);
    expect(again.pragma("user_version", { simple: true })).toBe(next);
    again.close();
  });

  it("that fail half-way leave nothing of themselves", () => {
    openForWriting(folder, options).close();
    const next = MIGRATIONS.length + 1;
    const broken = { version: next, sql: "CREATE TABLE half (id INTEGER); INSERT INTO nowhere VALUES (1)" };
    expect(codeOf(() => openForWriting(folder, { ...options, migrations: [...MIGRATIONS, broken] }))).toBe(
      "journal-unusable",
    );
    const db = openForWriting(folder, options);
    expect(db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'half'").pluck().get()).toBe(0);
    db.close();
  });
});

describe("a journal that is not for this program", () => {
  /** A journal of a newer program that was killed: its last commits are in the WAL only. */
  function leaveNewerJournal(): void {
    const elsewhere = join(folder, "elsewhere");
    const db = openForWriting(elsewhere, options);
    db.pragma("wal_autocheckpoint = 0");
    db.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    db.exec("INSERT INTO channel (name) VALUES ('coolant')");
    for (const suffix of ["", "-wal"]) {
      writeFileSync(`${file}${suffix}`, readFileSync(join(elsewhere, `${JOURNAL_FILE}${suffix}`)));
    }
    db.close();
  }

  it("being newer, is refused and left as it was to the byte, its WAL too", () => {
    leaveNewerJournal();
    const before = ["", "-wal"].map((suffix) => readFileSync(`${file}${suffix}`));
    expect(before[1]?.length).toBeGreaterThan(0);
    expect(codeOf(() => openForWriting(folder, options))).toBe("journal-too-new");
    expect(codeOf(() => openForReading(folder))).toBe("journal-too-new");
    const after = ["", "-wal"].map((suffix) => readFileSync(`${file}${suffix}`));
    expect(after.map((bytes, i) => bytes.equals(before[i] as Buffer))).toEqual([true, true]);
  });

  it("being some other SQLite file, is refused and left as it was", () => {
    const other = new Database(file);
    other.exec("CREATE TABLE recipes (id INTEGER)");
    other.close();
    const before = readFileSync(file);
    expect(codeOf(() => openForWriting(folder, options))).toBe("journal-unusable");
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it("being no SQLite file at all, is refused and left as it was", () => {
    writeFileSync(file, "These are not the bytes of a journal. ".repeat(200));
    const before = readFileSync(file);
    expect(codeOf(() => openForWriting(folder, options))).toBe("journal-unusable");
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it("not being there, cannot be read, and says how one is made", () => {
    for (const none of [folder, join(folder, "none")]) {
      expect(codeOf(() => openForReading(none))).toBe("journal-unusable");
      expect(() => openForReading(none)).toThrow(
        `There is no journal in ${none} yet: start the station once`,
      );
    }
  });

  it("being damaged, is refused with what to do, and left as it was", () => {
    openForWriting(folder, options).close();
    const whole = readFileSync(file);
    writeFileSync(file, Buffer.concat([whole.subarray(0, 100), Buffer.alloc(whole.length - 100, 0x5a)]));
    const before = readFileSync(file);
    expect(codeOf(() => openForWriting(folder, options))).toBe("journal-unusable");
    expect(() => openForWriting(folder, options)).toThrow(/damaged.*put back a backup/);
    expect(readFileSync(file).equals(before)).toBe(true);
  });
});

describe("a journal that cannot be opened as things are", () => {
  function troubleOf(work: () => unknown): string | null {
    try {
      work();
    } catch (error) {
      return openingTrouble(error);
    }
    return null;
  }

  it("is not refused, but said to be worth another try, and why", () => {
    writeFileSync(join(folder, "file"), "");
    expect(troubleOf(() => openForWriting(join(folder, "file"), options))).toMatch(/not a folder/);
    mkdirSync(file);
    expect(troubleOf(() => openForWriting(folder, options))).not.toBeNull();
  });

  it.each([
    ["EACCES", /permissions/],
    ["EROFS", /read-only/],
    ["ENOSPC", /full/],
    ["EIO", /answers with errors/],
    ["EMFILE", /too many open files/],
  ])("for what the operating system answers with %s", (code, words) => {
    expect(openingTrouble(Object.assign(new Error("too many open files"), { code }))).toMatch(words);
  });
});

describe("the reading connection", () => {
  it("cannot write", () => {
    const writing = openForWriting(folder, options);
    const reading = openForReading(folder);
    expect(() => reading.exec("INSERT INTO channel (name) VALUES ('coolant')")).toThrow(/readonly/);
    reading.close();
    writing.close();
  });
});
