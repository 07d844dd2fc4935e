import {
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  writeFileSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { checkedContents, copyToFile, damagedOnlyIn } from "../../../../station/journal/backup/copy.js";
import { isDue } from "../../../../station/journal/backup/due.js";
import { backupName, backupsIn } from "../../../../station/journal/backup/folder.js";
import { makeBackup } from "../../../../station/journal/backup/make.js";
import { restore } from "../../../../station/journal/backup/restore.js";
import { JOURNAL_FILE, openForWriting } from "../../../../station/journal/database.js";
import { lockFolder } from "../../../../station/journal/lock.js";
import { MIGRATIONS } from "../../../../station/journal/migrations.js";
import { contentsOf, writeJournal } from "../exchange/journals.js";
import { channel, emptyFolder, ended, openRun, reading, seal, sessionStart, transition } from "../samples.js";

const WALL = Date.UTC(2026, 4, 4, 3, 30, 0);
const KEEP = { daily: 2, weekly: 0, monthly: 0 };

let folder = "";
let remove = () => {};
let journal = "";
let to = "";
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
  journal = join(folder, "journal");
  to = join(folder, "drive");
  mkdirSync(to);
  const run = openRun("r1");
  writeJournal(journal, [
    {
      session: sessionStart(),
      readings: Array.from({ length: 9000 }, (_, i) => reading(`c${i % 3}`, i, i % 7 === 0 ? null : i)),
      actions: [
        { name: "channelsDefined", params: [channel("c0")] },
        { name: "runBegun", params: run },
        { name: "runEnded", params: ended(run) },
        { name: "alarmTransition", params: transition("a-1") },
      ],
    },
  ]);
});
afterEach(() => remove());

/** Spoils a byte of the first row of a table; returns what undoes that. */
function spoil(file: string, table: string): () => void {
  const db = new Database(file);
  const [id, data] = db.prepare(`SELECT rowid, data FROM ${table} LIMIT 1`).raw().get() as [number, Buffer];
  const spoiled = Buffer.from(data);
  spoiled[data.length >> 1] = (spoiled[data.length >> 1] as number) ^ 0x10;
  db.prepare(`UPDATE ${table} SET data = ? WHERE rowid = ?`).run(spoiled, id);
  db.close();
  return () => {
    const again = new Database(file);
    again.prepare(`UPDATE ${table} SET data = ? WHERE rowid = ?`).run(data, id);
    again.close();
  };
}

/** All but the newest start of the station. */
function sealJournal(): void {
  writeJournal(journal, [
    { session: sessionStart({ start: "start-2" }), readings: [reading("c0", 20_000_000)] },
  ]);
  const db = openForWriting(journal, { busyTimeoutMs: 50 });
  seal(db);
  db.close();
}

const make = (wall = WALL, keep: typeof KEEP | null = null) => makeBackup({ journal, to, wall, keep });

describe("a backup", () => {
  it("gives back all that the journal held, in a folder that had none", async () => {
    const made = make();
    expect(made).toMatchObject({
      file: join(to, "journal-2026-05-04T033000Z.sqlite"),
      wall: WALL,
      contents: { runs: 1, sessions: 1, alarms: 1, version: MIGRATIONS.at(-1)?.version },
    });
    expect(readdirSync(to)).toEqual(["journal-2026-05-04T033000Z.sqlite"]);
    const again = join(folder, "again");
    expect(restore(made.file, again, "now")).toEqual({ contents: made.contents, movedTo: null });
    expect(await contentsOf(again)).toEqual(await contentsOf(journal));
    expect((await contentsOf(again)).readings["start-1"]).toHaveLength(9000);
  });

  it("is of the moment, while the journal is being written", async () => {
    const db = openForWriting(journal, { busyTimeoutMs: 50 });
    db.exec("BEGIN IMMEDIATE; DELETE FROM alarm_transition;");
    const made = make();
    db.exec("ROLLBACK");
    db.close();
    expect(made.contents.alarms).toBe(1);
  });

  it("is only called one when it was checked: of a damaged journal there is none, and older ones stay", async () => {
    const older = make(WALL - 86_400_000);
    const handle = openSync(join(journal, JOURNAL_FILE), "r+");
    // The root page of some table, in the middle of the file.
    writeSync(handle, Buffer.alloc(3 * 4096, 0x5a), 0, 3 * 4096, 4 * 4096);
    closeSync(handle);
    expect(() => make(WALL, KEEP)).toThrow();
    expect((await backupsIn(to)).map(({ file }) => file)).toEqual([older.file]);
    expect(readdirSync(to)).toHaveLength(1);
  });

  it("takes away what the rule does not keep, and what was broken off long ago, and nothing else", async () => {
    const day = (back: number) => WALL - back * 86_400_000;
    for (const name of ["holiday.sqlite", "journal.sqlite", `${backupName(day(0) - 1000)}.partial`]) {
      writeFileSync(join(to, name), "");
    }
    writeFileSync(join(to, `${backupName(day(9))}.partial`), "");
    for (const back of [3, 2, 1]) make(day(back));
    const made = make(WALL, KEEP);
    expect(made.removed).toEqual([3, 2].map((back) => join(to, backupName(day(back)))));
    expect((await backupsIn(to)).map(({ wall }) => wall)).toEqual([day(0), day(1)]);
    expect(readdirSync(to).sort()).toEqual(
      [
        "holiday.sqlite",
        "journal.sqlite",
        backupName(day(0)),
        backupName(day(1)),
        `${backupName(day(0) - 1000)}.partial`,
      ].sort(),
    );
  });

  it("stays where the clock was put back since the one before, which stays as well, and is not due again", async () => {
    const hour = 3_600_000;
    const keep = { daily: 1, weekly: 0, monthly: 0 };
    make(WALL - hour);
    make(WALL + 2 * hour, keep);
    expect(make(WALL, keep).removed).toEqual([]);
    // Within the hour that clocks may differ by, an earlier one is not the newest of its day.
    expect(make(WALL - hour / 2, keep).removed).toEqual([]);
    const walls = (await backupsIn(to)).map(({ wall }) => wall);
    expect(walls).toEqual([WALL + 2 * hour, WALL, WALL - hour / 2]);
    const facts = {
      mono: 9e6,
      startedMono: 0,
      clock: "synchronised",
      failedMono: null,
      at: "00:00",
    } as const;
    expect(isDue({ ...facts, wall: WALL + 60_000, goodWalls: walls })).toBe(false);
    // The time has come that the one was of.
    expect(make(WALL + 3 * hour, keep).removed).toHaveLength(3);
  });

  it.each([
    ["block", /^The readings of c0 from 2026-/],
    ["block_minutes", /^The minutes of c0 from 2026-/],
    ["rollup_page", /^The rollups over \d+ min of c0 from 2026-/],
  ])(
    "of a journal with a damaged %s has the rest, says so, and no older one is taken away",
    (table, words) => {
      const day = 86_400_000;
      sealJournal();
      for (const back of [4, 3, 2]) make(WALL - back * day);
      const mend = spoil(join(journal, JOURNAL_FILE), table);
      const made = make(WALL - day, KEEP);
      expect(made).toMatchObject({
        removed: [],
        contents: { runs: 1, damaged: [expect.stringMatching(words)] },
      });
      expect(readdirSync(to)).toHaveLength(4);
      // It can be put back, for want of a better one.
      expect(restore(made.file, join(folder, "again"), "now").contents).toEqual(made.contents);
      mend();
      expect(make(WALL, KEEP)).toMatchObject({ removed: { length: 3 }, contents: { damaged: [] } });
    },
  );

  it("is not what was copied where only the copy is damaged", () => {
    sealJournal();
    const { file } = make();
    expect(damagedOnlyIn(checkedContents(file), journal)).toBeUndefined();
    spoil(file, "block");
    expect(damagedOnlyIn(checkedContents(file), journal)).toMatch(/^The readings of c0/);
    spoil(join(journal, JOURNAL_FILE), "block");
    expect(damagedOnlyIn(checkedContents(file), journal)).toBeUndefined();
  });

  it("is not made into a folder that is not there: the drive may not be mounted", () => {
    const request = { journal, to: join(folder, "nowhere"), wall: WALL, keep: null };
    expect(() => makeBackup(request)).toThrow(/nowhere is not there: is the drive mounted/);
    expect(existsSync(join(folder, "nowhere"))).toBe(false);
    expect(() => makeBackup({ ...request, to, journal: join(folder, "none") })).toThrow();
    expect(readdirSync(to)).toEqual([]);
  });
});

describe("a copy of the whole journal", () => {
  it("is refused in words of its own where there is no room for it", () => {
    const target = join(folder, "copy.sqlite");
    const refused = expect.objectContaining({
      code: "export-failed",
      message: expect.stringContaining("there is no room for a copy of the journal"),
    });
    expect(() => copyToFile(journal, target, 1e18)).toThrow(refused);
    expect(existsSync(target)).toBe(false);
    expect(copyToFile(journal, target, 0)).toMatchObject({ runs: 1 });
  });
});

describe("restoring", () => {
  it("moves the journal that is there aside, whole, with what is still in its WAL", async () => {
    const made = make();
    const db = openForWriting(journal, { busyTimeoutMs: 50 });
    db.exec("DELETE FROM alarm_transition");
    // As after a pulled plug: the WAL holds what the file does not yet.
    const pulled = join(folder, "pulled");
    mkdirSync(pulled);
    for (const end of ["", "-wal", "-shm"]) {
      copyFileSync(join(journal, JOURNAL_FILE + end), join(pulled, JOURNAL_FILE + end));
    }
    db.close();
    const { movedTo } = restore(made.file, pulled, "2026-05-05T100000Z");
    expect(movedTo).toBe(join(pulled, "before-restore-2026-05-05T100000Z.sqlite"));
    expect((await contentsOf(pulled)).alarms).toHaveLength(1);
    const aside = new Database(movedTo ?? "");
    expect(aside.prepare("SELECT count(*) FROM alarm_transition").pluck().get()).toBe(0);
    expect(aside.prepare("SELECT count(*) FROM reading").pluck().get()).toBe(9000);
    aside.close();
    // Once more within the same second: nothing is overwritten.
    // Again within the second: neither of those moved aside is lost.
    const again = restore(made.file, pulled, "2026-05-05T100000Z");
    expect(again.movedTo).toBe(join(pulled, "before-restore-2026-05-05T100000Z-2.sqlite"));
    expect(existsSync(join(pulled, "before-restore-2026-05-05T100000Z.sqlite"))).toBe(true);
    expect((await contentsOf(pulled)).alarms).toHaveLength(1);
  });

  it("refuses what is no sound journal, and leaves the one that is there as it was", async () => {
    const made = make();
    const before = readFileSync(join(journal, JOURNAL_FILE));
    const damaged = join(folder, "damaged.sqlite");
    const bytes = readFileSync(made.file);
    writeFileSync(damaged, bytes.subarray(0, bytes.length - 8192));
    const foreign = join(folder, "foreign.sqlite");
    new Database(foreign).exec("CREATE TABLE t (a)").close();
    const newer = join(folder, "newer.sqlite");
    copyFileSync(made.file, newer);
    const db = new Database(newer);
    db.pragma("user_version = 999");
    db.close();
    const text = join(folder, "text");
    writeFileSync(text, "readings, ".repeat(1000));
    for (const [file, words] of [
      [damaged, /is damaged|cannot be read/],
      [foreign, /is not a journal of this station/],
      [newer, /has schema number 999/],
      [text, /cannot be read/],
      [join(folder, "none"), /is not there/],
    ] as const) {
      expect(() => restore(file, journal, "now"), file).toThrow(words);
    }
    expect(readFileSync(join(journal, JOURNAL_FILE)).equals(before)).toBe(true);
    expect(
      readdirSync(journal).filter((name) => name.startsWith("before") || name.includes("restoring")),
    ).toEqual([]);
  });

  it("waits for no station: while one writes there it is refused", () => {
    const made = make();
    const lock = lockFolder(journal, 0);
    expect(() => restore(made.file, journal, "now")).toThrow(/Something else is writing/);
    lock.release();
    expect(restore(made.file, journal, "now").movedTo).not.toBeNull();
  });
});
