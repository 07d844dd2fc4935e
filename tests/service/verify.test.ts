import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { station } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

describe("npm run station -- verify", () => {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  const file = join(journal, "journal.sqlite");

  beforeAll(async () => {
    const running = await startStation(folder, null);
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

  it("names the figure, in words and as JSON, where a reading is not what it was", () => {
    const db = new Database(file);
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
