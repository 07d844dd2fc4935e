import { existsSync, mkdirSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { stringify } from "yaml";
import { backupName, backupsIn } from "../../station/journal/backup/folder.js";
import { type Backups, createBackups } from "../../station/journal/backup/schedule.js";
import { JOURNAL_FILE } from "../../station/journal/database.js";
import { RESERVE_BYTES } from "../../station/journal/disk/room.js";
import type { BackupsView } from "../../station/model/backup.js";
import type { Instant } from "../../station/model/instant.js";
import type { Run } from "../../station/model/run.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { contentsOf, writeJournal } from "../unit/journal/exchange/journals.js";
import { reading, sessionStart } from "../unit/journal/samples.js";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { station } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

const threadUrl = new URL("../../.build/station/journal/backup/backup-thread.js", import.meta.url);
const NOON = new Date(2026, 4, 5, 12).getTime();
const DAY = 86_400_000;
const KEEP = { daily: 3, weekly: 0, monthly: 0 };

let folder = "";
let remove = () => {};
let drive = "";
beforeAll(buildIfMissing);
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
  drive = join(folder, "drive");
});
afterEach(() => remove());

describe("backups on a schedule", () => {
  const logged: string[] = [];
  const at = (wall: number): Instant => ({ wall, mono: wall - NOON + 1_000_000 });

  function backups(): Backups {
    logged.length = 0;
    const journal = join(folder, "journal");
    if (!existsSync(journal))
      writeJournal(journal, [{ session: sessionStart(), readings: [reading("c", 1)] }]);
    return createBackups({
      reserveBytes: RESERVE_BYTES,
      settings: { folder: drive, at: "03:30", keep: KEEP },
      journal,
      startedMono: 0,
      clock: () => "synchronised",
      log: (_level, message) => logged.push(message),
      threadUrl,
    });
  }

  async function looked(schedule: Backups, wall: number): Promise<BackupsView> {
    schedule.tick(at(wall));
    await eventually(() => !schedule.busy(), "the look to be over");
    return schedule.view(wall);
  }

  it("are made once a day on a thread of their own, kept by the rule, and told of", async () => {
    mkdirSync(drive);
    const schedule = backups();
    expect(await schedule.view(NOON)).toMatchObject({
      folder: drive,
      at: "03:30",
      lastGoodWall: null,
      backups: [],
    });
    for (let day = 0; day < 5; day++) {
      expect(await looked(schedule, NOON + day * DAY)).toMatchObject({ lastGoodWall: NOON + day * DAY });
      // Later on the same day there is nothing to do.
      expect(await looked(schedule, NOON + day * DAY + DAY / 4)).toMatchObject({
        running: false,
        trouble: null,
      });
    }
    expect((await backupsIn(drive)).map(({ wall }) => wall)).toEqual(
      [4, 3, 2].map((day) => NOON + day * DAY),
    );
    expect(logged).toEqual(new Array(5).fill("a backup was made and checked"));
    await schedule.close();
    schedule.tick(at(NOON + 9 * DAY));
    expect(schedule.busy()).toBe(false);
  });

  it("say when the next is due, and what each is kept as", async () => {
    mkdirSync(drive);
    const schedule = backups();
    const today = new Date(2026, 4, 5, 3, 30).getTime();
    const tomorrow = new Date(2026, 4, 6, 3, 30).getTime();
    // Missed this morning: it is made up for.
    expect((await schedule.view(NOON)).nextWall).toBe(today);
    const after = await looked(schedule, NOON);
    expect(after).toMatchObject({ nextWall: tomorrow, backups: [{ wall: NOON, generations: ["day"] }] });
    expect(schedule.state()).toEqual({ looked: true, lastGoodWall: NOON, trouble: null });
    await schedule.close();
  });

  it("are made at once when asked for, one at a time, due or not", async () => {
    mkdirSync(drive);
    const schedule = backups();
    await looked(schedule, NOON);
    schedule.makeNow(at(NOON + 60_000));
    expect(() => schedule.makeNow(at(NOON + 60_000))).toThrow(
      "A backup is being made already. Wait until it is done.",
    );
    expect((await schedule.view(NOON + 60_000)).running).toBe(true);
    // The look of the schedule waits for its turn.
    expect(await looked(schedule, NOON + 120_000)).toMatchObject({ running: false, trouble: null });
    // The newest of its day, by the rule.
    expect((await backupsIn(drive)).map(({ wall }) => wall)).toEqual([NOON + 60_000]);

    rmSync(drive, { recursive: true });
    schedule.makeNow(at(NOON + 180_000));
    await eventually(() => !schedule.busy(), "the attempt to be over");
    expect(await schedule.view(NOON + 180_000)).toMatchObject({ running: false, lastGoodWall: null });
    expect(schedule.state().trouble).toMatch(/is not there: is the drive mounted/);
    await schedule.close();
    expect(() => schedule.makeNow(at(NOON + 240_000))).toThrow();
  });

  it("of a journal that is damaged are made once a day, told of, not called good, and take no older one away", async () => {
    mkdirSync(drive);
    const schedule = backups();
    for (let day = 0; day < 3; day++) await looked(schedule, NOON + day * DAY);
    const file = join(folder, "journal", JOURNAL_FILE);
    const db = new Database(file);
    db.exec(`INSERT INTO rollup_page (channel, width, page, data) VALUES (1, 900000, 0, x'03')`);
    db.close();
    const after = await looked(schedule, NOON + 3 * DAY);
    expect(after).toMatchObject({
      lastGoodWall: NOON + 2 * DAY,
      trouble: expect.stringMatching(/damaged: The rollups/),
    });
    await looked(schedule, NOON + 3 * DAY + 3_600_000);
    expect(schedule.state()).toEqual({ looked: true, lastGoodWall: NOON + 2 * DAY, trouble: after.trouble });
    expect((await backupsIn(drive)).map(({ wall }) => wall)).toEqual(
      [3, 2, 1, 0].map((day) => NOON + day * DAY),
    );
    const again = new Database(file);
    again.exec("DELETE FROM rollup_page");
    again.close();
    expect(await looked(schedule, NOON + 4 * DAY)).toMatchObject({
      lastGoodWall: NOON + 4 * DAY,
      trouble: null,
    });
    await schedule.close();
  });

  it("find a drive that was not mounted as soon as it is, and say meanwhile that it is not there", async () => {
    const schedule = backups();
    expect((await looked(schedule, NOON)).trouble).toMatch(/is not there: is the drive mounted/);
    expect((await looked(schedule, NOON + 60_000)).trouble).toMatch(/is not there/);
    expect(logged).toEqual(["a backup could not be made"]);
    mkdirSync(drive);
    expect(await looked(schedule, NOON + 120_000)).toMatchObject({
      lastGoodWall: NOON + 120_000,
      trouble: null,
    });
    await schedule.close();
  });

  it("try again an hour after one that failed, and keep the last good one", async () => {
    mkdirSync(drive);
    const good = backupName(NOON - DAY);
    writeFileSync(join(drive, good), "");
    const schedule = backups();
    rmSync(join(folder, "journal"), { recursive: true });
    expect(await looked(schedule, NOON)).toMatchObject({ lastGoodWall: NOON - DAY });
    expect((await schedule.view(NOON)).trouble).not.toBeNull();
    expect(readdirSync(drive)).toEqual([good]);
    writeJournal(join(folder, "journal"), [{ session: sessionStart(), readings: [reading("c", 1)] }]);
    expect(await looked(schedule, NOON + 1_800_000)).toMatchObject({ lastGoodWall: NOON - DAY });
    const after = await looked(schedule, NOON + 3_660_000);
    expect(after).toMatchObject({ lastGoodWall: NOON + 3_660_000, trouble: null });
    await schedule.close();
  });
});

describe("npm run station -- backup, and restore", () => {
  it("make one beside a running station, show it, and put it back", async () => {
    const sys = new SysFolder(folder);
    const board = await Board.plugIn(folder);
    const config = rigConfig(sys, board, { backup: { folder: drive, keep: { daily: 1 } } });
    mkdirSync(drive);
    const running = await startStation(folder, config);
    const { body } = await running.send("POST", "/api/runs", { settings: { material: "Birch" } });
    await running.send("POST", `/api/runs/${(body as Run).id}/end`);
    const file = join(folder, "station.yaml");
    const journal = join(folder, "journal");
    expect(await running.get<BackupsView>("/api/backups")).toMatchObject({
      folder: drive,
      lastGoodWall: null,
    });

    const none = station(folder, "check", "--config", file, "--sys-root", sys.root);
    expect(none.stdout).toMatch(
      /backup to .*: there is none yet\n +To mend it: run: npm run station -- backup/,
    );
    const made = station(folder, "backup", "--config", file, "--journal", journal, "--json");
    expect(made.status, made.stderr).toBe(0);
    const { file: copy, contents, wall } = JSON.parse(made.stdout);
    expect(contents).toMatchObject({ runs: 1 });
    expect(await running.get<BackupsView>("/api/backups")).toMatchObject({
      lastGoodWall: wall,
      backups: [{ file: copy, wall }],
    });
    const well = station(folder, "check", "--config", file, "--sys-root", sys.root);
    expect(well.stdout).toMatch(/ok {2}backup to .*: the last good one is of 20/);

    // What is cut after the backup is not in it, and is not lost either.
    const second = await running.send("POST", "/api/runs", {});
    await running.send("POST", `/api/runs/${(second.body as Run).id}/end`);
    expect(station(folder, "restore", copy, "--journal", journal)).toMatchObject({ status: 1, stdout: "" });
    await running.stop();
    await board.unplug();
    const restored = station(folder, "restore", copy, "--journal", journal, "--json");
    expect(restored.status, restored.stderr).toBe(0);
    const { movedTo } = JSON.parse(restored.stdout);
    expect((await contentsOf(journal)).runs.map(({ number }) => number)).toEqual([1]);
    expect(station(folder, "verify", "--journal", journal).status).toBe(0);
    const back = station(folder, "restore", movedTo, "--journal", journal);
    expect(back.status, back.stderr).toBe(0);
    expect((await contentsOf(journal)).runs.map(({ number }) => number)).toEqual([1, 2]);

    const newer = station(folder, "backup", "--config", file, "--journal", journal);
    expect(newer.stdout, newer.stderr).toMatch(/MB, checked, 2 runs, .*\n1 older backup was deleted\.\n$/);
    expect(existsSync(copy)).toBe(false);
  });

  it("tell a call that says nothing of where to from a folder that is not there", () => {
    const file = join(folder, "station.yaml");
    writeFileSync(file, stringify({ backup: { folder: drive, at: "3 o'clock" } }));
    const nowhere = station(folder, "backup", "--journal", folder, "--to", join(folder, "nowhere"));
    expect(nowhere).toMatchObject({ status: 1, stdout: "" });
    expect(nowhere.stderr).toContain("is the drive mounted?");
    const wrong = station(folder, "backup", "--journal", folder, "--config", file);
    expect(wrong.status).toBe(1);
    expect(wrong.stderr).toMatch(/backup.at: found "3 o'clock"; expected a time of day such as "03:30"/);
    rmSync(file);
    expect(station(folder, "backup", "--journal", folder).status).toBe(2);
    expect(station(folder, "restore", "--journal", folder).status).toBe(2);
  });
});
