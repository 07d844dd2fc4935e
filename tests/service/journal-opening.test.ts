import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, readFileSync, rmdirSync, unlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { gunzipSync } from "node:zlib";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { JOURNAL_FILE, openForWriting } from "../../station/journal/database.js";
import type { Journal } from "../../station/journal/journal.js";
import { LOCK_FILE } from "../../station/journal/lock.js";
import { WRITER_URL } from "../unit/journal/built.js";
import { codeOf, healthEvents, journalRig, many, quick } from "../unit/journal/rig.js";
import { openRun, sessionStart, transition } from "../unit/journal/samples.js";

const WRITING = fileURLToPath(new URL("../unit/journal/killed.mjs", import.meta.url));

const rig = journalRig();
const journalFile = () => join(rig.folder, JOURNAL_FILE);

/** Gives a journal something of everything; resolves once all of it has been answered. */
async function everything(open: Journal): Promise<readonly number[]> {
  open.readings(many(0, 100));
  const first = open.runBegun(openRun("r1"));
  open.readings(many(100, 100));
  const alarm = open.alarmTransition(transition("1-1"));
  const second = open.runBegun(openRun("r2"));
  open.readings(many(200, 50));
  await Promise.all([alarm, open.flush()]);
  return [(await first).number, (await second).number];
}

/** As the program that first wrote version 2 left it, but large. */
function leaveLargeJournalOfVersion2(): void {
  const stored = new URL("../unit/journal/fixtures/version-2.sqlite.gz", import.meta.url);
  writeFileSync(journalFile(), gunzipSync(readFileSync(stored)));
  const db = new Database(journalFile());
  db.exec("CREATE TABLE large AS SELECT zeroblob(33000000); DROP TABLE large");
  db.close();
}

it("a large journal of an older version is brought up to date, which is said, and readings given meanwhile are kept", async () => {
  leaveLargeJournalOfVersion2();
  const events = healthEvents();
  const start = sessionStart({ start: "now", bootId: "boot-now" });
  const told = events.next("brought up to date");
  const journal = rig.open({ onHealth: events.onHealth, session: start });
  journal.readings(many(0, 100));
  expect(await told).toMatchObject({ writing: false });
  await journal.flush();
  expect(journal.health().writing).toBe(true);
  const window = { bootId: "boot-now", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
  const kept: unknown[] = [];
  for await (const block of rig.reader().readingsForReplay(window)) kept.push(...block);
  expect(kept).toEqual(many(0, 100));
});

describe("a folder that a station writes in already", () => {
  it("is refused to a second one, which leaves what is there alone, and is free once the first is closed", async () => {
    const first = await rig.opened();
    await first.runBegun(openRun("r1"));
    const before = [journalFile(), `${journalFile()}-wal`].map((file) => readFileSync(file));
    const events = healthEvents();
    const second = rig.open({ session: sessionStart({ start: "start-2" }), onHealth: events.onHealth });

    expect(await codeOf(second.openRuns())).toBe("journal-in-use");
    expect(await codeOf(second.ready)).toBe("journal-in-use");
    expect(second.session).toBeNull();
    expect(second.health().writing).toBe(false);
    expect(second.health().text).toContain("Something else is writing the journal");
    const after = [journalFile(), `${journalFile()}-wal`].map((file) => readFileSync(file));
    expect(after.map((bytes, i) => bytes.equals(before[i] as Buffer))).toEqual([true, true]);
    expect((await rig.reader().runs({ limit: 5 })).runs).toMatchObject([{ id: "r1", endWall: null }]);
    await first.flush();
    expect(first.health().writing).toBe(true);

    await first.close();
    const third = await rig.opened({ session: sessionStart({ start: "start-3" }) });
    expect(third.session).toBe(2);
  });

  it("is free again the moment that station is killed, though its lock file is left", async () => {
    const child = spawn(process.execPath, [WRITING, rig.folder, "killed"], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    await once(createInterface({ input: child.stdout }), "line");
    expect(await codeOf(rig.open().ready)).toBe("journal-in-use");
    child.kill("SIGKILL");
    await once(child, "exit");
    expect(existsSync(join(rig.folder, LOCK_FILE))).toBe(true);
    const open = await rig.opened();
    expect(open.session).toBe(2);
  });
});

describe("a journal that cannot be opened at first", () => {
  it.each([
    [
      "because part of its path is not a folder",
      () => {
        const place = join(rig.folder, "place");
        writeFileSync(place, "");
        return {
          folder: join(place, "journal"),
          words: "part of its path is not a folder",
          mend: unlinkSync,
          at: place,
        };
      },
    ],
    [
      "because a folder has its name",
      () => {
        mkdirSync(journalFile());
        return { folder: rig.folder, words: "it cannot be opened", mend: rmdirSync, at: journalFile() };
      },
    ],
    [
      "because a folder has the name of its lock",
      () => {
        const at = join(rig.folder, LOCK_FILE);
        mkdirSync(at);
        return { folder: rig.folder, words: "the journal file cannot be opened", mend: rmdirSync, at };
      },
    ],
    [
      "because another program holds it locked",
      () => {
        openForWriting(rig.folder, { busyTimeoutMs: 20 }).close();
        const other = new Database(journalFile());
        other.exec("BEGIN IMMEDIATE");
        const mend = () => other.close();
        return { folder: rig.folder, words: "another program holds the journal locked", mend, at: "" };
      },
    ],
  ])(
    "%s holds what it is given, says why, and carries it out in order once it is open",
    async (_, prevent) => {
      const { folder, words, mend, at } = prevent();
      const events = healthEvents();
      const stopped = events.next(false);
      const open = rig.open({ folder, onHealth: events.onHealth });
      expect(open.health()).toMatchObject({ writing: false, waiting: 0 });
      const answered = everything(open);

      const health = await stopped;
      expect(health.text).toContain(words);
      expect(open.health()).toMatchObject({ writing: false, waiting: 250, dropped: 0 });
      expect(open.session).toBeNull();

      mend(at);
      expect(await open.ready).toEqual({ session: 1 });
      expect(open.session).toBe(1);
      expect(await answered).toEqual([1, 2]);
      expect(open.health()).toMatchObject({ writing: true, waiting: 0, dropped: 0 });
      expect(events.seen.map(({ writing }) => writing)).toEqual([false, true]);
      await open.close();
      const db = new Database(join(folder, JOURNAL_FILE), { readonly: true });
      expect(db.prepare("SELECT value FROM reading ORDER BY id").pluck().all()).toEqual(
        many(0, 250).map(({ value }) => value),
      );
      db.close();
    },
  );

  it("holds no more readings than its bound, and every run", async () => {
    mkdirSync(journalFile());
    const open = rig.open({ tuning: { ...quick, mostReadings: 400 } });
    const runs = ["r1", "r2", "r3"].map((id, i) => {
      open.readings(many(i * 300, 300));
      return open.runBegun(openRun(id));
    });
    expect(open.health().waiting).toBeLessThanOrEqual(400);
    rmdirSync(journalFile());
    expect((await Promise.all(runs)).map(({ number }) => number)).toEqual([1, 2, 3]);
    const values = (await rig.kept()).map(({ value }) => value);
    expect(values.length + open.health().dropped).toBe(900);
    expect(values.slice(-300)).toEqual(many(600, 300).map(({ value }) => value));
  });

  it("is closed in time all the same, and what was waiting for an answer gets one", async () => {
    mkdirSync(journalFile());
    const open = rig.open({ tuning: { ...quick, closeWithinMs: 30 } });
    open.readings(many(0, 10));
    const run = codeOf(open.runBegun(openRun("r1")));
    await open.close();
    expect(await run).toBe("journal-closed");
    expect(await codeOf(open.ready)).toBe("journal-closed");
    expect(open.health()).toMatchObject({ waiting: 0, dropped: 10 });
  });

  it("because its thread does not start, says so and tries on", async () => {
    const events = healthEvents();
    const stopped = events.next(false);
    const workerUrl = new URL("nowhere.mjs", WRITER_URL);
    const open = rig.open({ workerUrl, onHealth: events.onHealth });
    expect((await stopped).text).toContain("its thread ended");
    expect(open.session).toBeNull();
  });
});

describe("a journal that is refused for good", () => {
  it("because its file is damaged, says what to do, answers everything with that, and leaves the file alone", async () => {
    openForWriting(rig.folder, { busyTimeoutMs: 20 }).close();
    const damaged = readFileSync(journalFile()).fill(0x5a, 100);
    writeFileSync(journalFile(), damaged);
    const events = healthEvents();
    const open = rig.open({ onHealth: events.onHealth });
    open.readings(many(0, 30));
    const early = codeOf(open.runBegun(openRun("r1")));
    expect(await codeOf(open.ready)).toBe("journal-unusable");
    expect(await early).toBe("journal-unusable");
    expect(await codeOf(open.runBegun(openRun("r2")))).toBe("journal-unusable");
    open.readings(many(30, 5));
    expect(open.health()).toMatchObject({ writing: false, waiting: 0, dropped: 35 });
    expect(open.health().text).toMatch(/is damaged.*put back a backup/);
    expect(events.seen.map(({ writing }) => writing)).toEqual([false]);
    expect(await codeOf(rig.reader().integrity())).toBe("journal-unusable");
    await open.close();
    expect(readFileSync(journalFile()).equals(damaged)).toBe(true);
  });

  it("because a newer program wrote it, says so to whoever asks either side", async () => {
    const newer = openForWriting(rig.folder, { busyTimeoutMs: 20 });
    newer.pragma("user_version = 9999");
    newer.close();
    expect(await codeOf(rig.open().ready)).toBe("journal-too-new");
    expect(await codeOf(rig.reader().integrity())).toBe("journal-too-new");
  });
});

describe("the reading side", () => {
  it("is there before the journal is, and answers once it is", async () => {
    const asking = rig.reader();
    expect(await codeOf(asking.runs({ limit: 1 }))).toBe("journal-unusable");
    const open = await rig.opened();
    await open.runBegun(openRun("r1"));
    expect((await asking.runs({ limit: 1 })).runs).toMatchObject([{ id: "r1" }]);
  });
});
