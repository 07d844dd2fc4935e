import { copyFileSync, cpSync, existsSync, mkdirSync, readdirSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { makeBackup } from "../../../../station/journal/backup/make.js";
import { restore } from "../../../../station/journal/backup/restore.js";
import { JOURNAL_FILE, openForWriting } from "../../../../station/journal/database.js";
import { contentsOf, writeJournal } from "../exchange/journals.js";
import { emptyFolder, reading, sessionStart, transition } from "../samples.js";

/** Called after every change that a restore makes on the disk. */
const disk = vi.hoisted(() => ({ changed: () => {} }));
vi.mock("node:fs", async (original) => {
  const fs = await original<typeof import("node:fs")>();
  const told =
    <A extends unknown[]>(change: (...args: A) => unknown) =>
    (...args: A) => {
      change(...args);
      disk.changed();
    };
  return {
    ...fs,
    copyFileSync: told(fs.copyFileSync),
    renameSync: told(fs.renameSync),
    rmSync: told(fs.rmSync),
  };
});

let folder: string;
let removeFolder: () => void;
let backup: string;
let pulled: string;
beforeEach(() => {
  ({ folder, remove: removeFolder } = emptyFolder());
  const journal = join(folder, "journal");
  const to = join(folder, "drive");
  pulled = join(folder, "pulled");
  for (const each of [to, pulled]) mkdirSync(each);
  const readings = Array.from({ length: 500 }, (_, i) => reading("coolant", i));
  const actions = [{ name: "alarmTransition" as const, params: transition("a-1") }];
  writeJournal(journal, [{ session: sessionStart(), readings, actions }]);
  backup = makeBackup({ journal, to, wall: Date.UTC(2026, 4, 4), keep: null }).file;
  // As after a pulled plug: what was done last is in the WAL only.
  const db = openForWriting(journal, { busyTimeoutMs: 50 });
  db.exec("DELETE FROM alarm_transition");
  for (const end of ["", "-wal"])
    copyFileSync(join(journal, JOURNAL_FILE + end), join(pulled, JOURNAL_FILE + end));
  db.close();
});
afterEach(() => {
  disk.changed = () => {};
  removeFolder();
});

function alarmsIn(file: string): unknown {
  const db = new Database(file, { fileMustExist: true });
  try {
    return db.prepare("SELECT count(*) FROM alarm_transition").pluck().get();
  } finally {
    db.close();
  }
}

describe("a restore", () => {
  it("brings what is in the WAL beside its file, and leaves both as they were", async () => {
    const into = join(folder, "into");
    expect(restore(join(pulled, JOURNAL_FILE), into, "now").contents).toMatchObject({ alarms: 0 });
    const { readings, alarms } = await contentsOf(into);
    expect(alarms).toEqual([]);
    expect(readings["start-1"]).toHaveLength(500);
    expect(readdirSync(into).filter((name) => name.includes("restoring"))).toEqual([]);
    expect(existsSync(join(pulled, `${JOURNAL_FILE}-wal`))).toBe(true);
    expect(alarmsIn(join(pulled, JOURNAL_FILE))).toBe(0);
  });

  it("takes no WAL for its own that one before it was cut off with", async () => {
    const into = join(folder, "into");
    mkdirSync(into);
    copyFileSync(join(pulled, `${JOURNAL_FILE}-wal`), join(into, `${JOURNAL_FILE}.restoring-wal`));
    restore(backup, into, "now");
    expect((await contentsOf(into)).alarms).toHaveLength(1);
  });

  it("has the journal that was there whole, with its WAL, wherever it is cut off", () => {
    const cuts: string[] = [];
    disk.changed = () => {
      const cut = join(folder, `cut-${cuts.length}`);
      cuts.push(cut);
      cpSync(pulled, cut, { recursive: true });
    };
    const { movedTo } = restore(backup, pulled, "now");
    disk.changed = () => {};
    expect(cuts.length).toBeGreaterThan(3);
    expect(alarmsIn(join(pulled, JOURNAL_FILE))).toBe(1);
    expect(alarmsIn(movedTo ?? "")).toBe(0);
    for (const cut of cuts) {
      const journal = join(cut, JOURNAL_FILE);
      const aside = join(cut, "before-restore-now.sqlite");
      const moved = existsSync(aside);
      expect(alarmsIn(moved ? aside : journal), cut).toBe(0);
      // What has come in its place is all of the backup's, with nothing of the old WAL.
      if (moved && existsSync(journal)) expect(alarmsIn(journal), cut).toBe(1);
    }
  });
});
