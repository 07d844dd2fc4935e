import { spawn } from "node:child_process";
import { once } from "node:events";
import { cpSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openForWriting } from "../../station/journal/database.js";
import type { NowSnapshot } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { foundIn, reading, seal, sessionStart, writerBench } from "../unit/journal/samples.js";
import { QUIET_BENCH } from "./quiet-bench.js";
import { station } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

const MENDING = fileURLToPath(new URL("mending.mjs", import.meta.url));

/** A repair that is killed some time after so many steps, and before it is done; returns what it ended by. */
async function mendAndKill(folder: string, steps: number): Promise<NodeJS.Signals | null> {
  const child = spawn(process.execPath, [MENDING, folder, `${steps + 3}`], {
    stdio: ["ignore", "pipe", "inherit"],
  });
  const lines = createInterface({ input: child.stdout });
  let told = 0;
  lines.on("line", () => {
    told++;
    if (told === steps) child.kill("SIGKILL");
  });
  const [[, signal]] = await Promise.all([once(child, "exit"), once(lines, "close")]);
  return signal as NodeJS.Signals | null;
}

describe("npm run station -- verify", () => {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  const file = join(journal, "journal.sqlite");

  beforeAll(async () => {
    const running = await startStation(folder, QUIET_BENCH);
    await eventually(async () => {
      const { channels } = await running.get<NowSnapshot>("/api/now");
      return channels.every(({ quality }) => quality === "good");
    }, "readings of every channel");
    const { body } = await running.send("POST", "/api/runs", { settings: { material: "MDF 3 mm" } });
    await eventually(async () => {
      const { wall } = await running.get<NowSnapshot>("/api/now");
      return wall - (body as Run).startWall > 2_500;
    }, "a run of some seconds");
    await running.send("POST", `/api/runs/${(body as Run).id}/end`);
    // Still open when the station is stopped, which ends it.
    await running.send("POST", "/api/runs", {});
    await running.stop();
  });
  afterAll(remove);

  it("works the stamps of a real station's runs out again, and they agree", () => {
    const { status, stdout } = station(folder, "verify", "--journal", journal);
    expect(stdout).toContain("the file is sound");
    expect(stdout).toContain("2 of 2 stamps agree with the readings");
    expect(status).toBe(0);
  });

  it("looks while the station runs, finds rollups that are wrong, and mends them once it has stopped", async () => {
    const db = new Database(file);
    expect(db.prepare("UPDATE live_minute SET max = max + 40").run().changes).toBeGreaterThan(5);
    db.close();
    const running = await startStation(folder, QUIET_BENCH);
    const found = station(folder, "verify", "--journal", journal);
    expect(found.status).toBe(1);
    expect(found.stdout).toMatch(
      /rollups that charts are drawn from are not what the readings say:\n +The newest minutes from 20/,
    );
    expect(found.stdout).toContain("2 of 2 stamps agree with the readings");
    const refused = station(folder, "verify", "--repair", "--journal", journal);
    expect({ ...refused, stderr: "" }).toEqual({ status: 1, stdout: "", stderr: "" });
    expect(refused.stderr).toMatch(/Stop it, repair, and start it again; nothing was changed/);
    await running.stop();

    const mended = station(folder, "verify", "--repair", "--journal", journal, "--json");
    expect(JSON.parse(mended.stdout)).toMatchObject({
      ok: true,
      repair: true,
      readings: { wrong: { count: 0 } },
    });
    expect(JSON.parse(mended.stdout).readings.mended.count).toBeGreaterThan(0);
    expect(mended.status).toBe(0);
    const after = station(folder, "verify", "--journal", journal);
    expect(after.stdout).toContain("ok  the rollups that charts are drawn from are what the readings say");
    expect(after.status).toBe(0);
  });

  it("goes on with a repair that was killed, and leaves no reading out", async () => {
    const { folder: own, remove: removeOwn } = temporaryFolder();
    const bench = writerBench(sessionStart(), () => 0, own);
    for (let i = 0; i < 90; i++) {
      bench.put(
        Array.from({ length: 60 }, (_, j) => reading(`c${j % 3}`, i * 3_600_000 + j * 30_000, j / 16)),
      );
    }
    seal(bench.db);
    bench.db.exec("DELETE FROM rollup_page; DELETE FROM block_minutes; UPDATE live_minute SET sum = 0");
    const count = (table: string) =>
      bench.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number;
    const blocks = count("block");
    for (const steps of [3, 7]) {
      expect(await mendAndKill(own, steps)).toBe("SIGKILL");
      expect(count("block_minutes")).toBeGreaterThan(0);
      expect(count("block_minutes")).toBeLessThan(blocks);
    }
    const mended = station(folder, "verify", "--repair", "--journal", own);
    expect(mended.stdout).toMatch(/ok {2}\d+ rollups were repaired/);
    expect(mended.status).toBe(0);
    expect(foundIn(bench.db)).toEqual([]);
    bench.remove();
    removeOwn();
  });

  it("says of when readings are damaged, and what to do", () => {
    const copy = join(folder, "damaged");
    cpSync(journal, copy, { recursive: true });
    const db = openForWriting(copy, { busyTimeoutMs: 1000 });
    db.exec(`
      INSERT INTO sealed (first_id, last_id, session, min_wall, max_wall, min_mono, max_mono, first_block, blocks)
        SELECT 0, 0, id, 0, 3600000, 0, 3600000, 1, 1 FROM session LIMIT 1;
      INSERT INTO block SELECT 1, 0, id, 0, 3600000, 10, zeroblob(90) FROM channel WHERE name = 'coolant-in';`);
    db.close();
    const { status, stdout } = station(folder, "verify", "--repair", "--journal", copy);
    expect(status).toBe(1);
    expect(stdout).toMatch(
      /1 of 1 sealed blocks of readings cannot be read:\n +The readings of coolant-in from 1970-01-01T00:00:00.000Z to 1970-01-01T01:00:00.000Z/,
    );
    expect(stdout).toMatch(/Next: put back a backup .*restore FILE/);
  });

  it("says so where a reading has been changed by another program", () => {
    const copy = join(folder, "changed");
    cpSync(journal, copy, { recursive: true });
    const db = new Database(join(copy, "journal.sqlite"));
    db.exec("UPDATE reading SET value = 55 WHERE id = (SELECT max(id) FROM reading)");
    db.close();
    const { status, stdout } = station(folder, "verify", "--journal", copy);
    expect(status).toBe(1);
    expect(stdout).toMatch(/the file is damaged:\n +the readings from 20.* are not as they were written/);
  });

  it("names the figure, in words and as JSON, where a stamp is not what the readings give", () => {
    const db = openForWriting(journal, { busyTimeoutMs: 1000 });
    const { start_mono: from, end_mono: to } = db
      .prepare("SELECT start_mono, end_mono FROM run WHERE number = 1")
      .get() as { start_mono: number; end_mono: number };
    const changed = db
      .prepare(
        `UPDATE reading SET value = 55 WHERE id = (
           SELECT min(r.id) FROM reading r JOIN channel c ON c.id = r.channel
           WHERE c.name = 'coolant-in' AND r.mono > ? AND r.mono < ?)`,
      )
      .run(from, to);
    expect(changed.changes).toBe(1);
    db.close();
    const words = station(folder, "verify", "--journal", journal);
    expect(words.status).toBe(1);
    expect(words.stdout).toMatch(
      /run 1: its stamp is not what the readings give\n(?:.*\n)*? +channels\.coolant-in\.max: the stamp says [\d.]+, the readings give 55/,
    );
    const json = station(folder, "verify", "--journal", journal, "--json");
    expect(json.status).toBe(1);
    expect(JSON.parse(json.stdout)).toMatchObject({ ok: false, runs: 2, agree: 1, damage: [] });
  });

  it("says where there is no journal, on the other stream", () => {
    const { status, stdout, stderr } = station(folder, "verify", "--journal", join(folder, "nowhere"));
    expect({ status, stdout }).toEqual({ status: 1, stdout: "" });
    expect(stderr).toContain("nowhere");
  });
});
