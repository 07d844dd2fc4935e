import { spawn, spawnSync } from "node:child_process";
import { closeSync, existsSync, openSync, readdirSync, readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { csvRow } from "../../station/journal/exchange/csv.js";
import { READING_COLUMNS, readingRow } from "../../station/journal/exchange/reading-csv.js";
import type { NowSnapshot } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { readExposition } from "../published/openmetrics-rules.js";
import { contentsOf } from "../unit/journal/exchange/journals.js";
import { reading } from "../unit/journal/samples.js";
import { QUIET_BENCH } from "./quiet-bench.js";
import { STATION_COMMAND, station } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

const { folder, remove } = temporaryFolder();
const journal = join(folder, "journal");
afterAll(remove);

describe("export and import of what a station has kept", () => {
  beforeAll(async () => {
    const running = await startStation(folder, QUIET_BENCH);
    await eventually(async () => {
      const { channels } = await running.get<NowSnapshot>("/api/now");
      return channels.every(({ quality }) => quality === "good");
    }, "readings of every channel");
    const { body } = await running.send("POST", "/api/runs", {
      settings: { material: "=MDF, 3 mm", lot: 'the "new" one', power_pct: 55 },
    });
    await eventually(async () => {
      const { wall } = await running.get<NowSnapshot>("/api/now");
      return wall - (body as Run).startWall > 1_500;
    }, "a run of some seconds");
    await running.send("POST", `/api/runs/${(body as Run).id}/end`);
    const metrics = await (await fetch(`${running.url}/metrics`)).text();
    expect(readExposition(metrics).get("station_channel_celsius")?.samples.length).toBeGreaterThan(0);
    await running.stop();
  });

  it.each(["csv", "senml"])(
    "by way of %s and lines of JSON gives the same, and every stamp agrees",
    async (format) => {
      const to = join(folder, `to-${format}`);
      const out = (name: string) => join(folder, `${name}-${format}`);
      for (const args of [
        ["--what", "runs", "--format", "jsonl", "--out", out("runs")],
        ["--what", "readings", "--format", format, "--out", out("readings")],
        ["--what", "alarms", "--format", "jsonl", "--out", out("alarms")],
      ]) {
        const exported = station(folder, "export", "--journal", journal, ...args, "--json");
        expect(exported.status, exported.stderr).toBe(0);
        expect(JSON.parse(exported.stdout).rows).toBeGreaterThan(args.includes("alarms") ? -1 : 0);
      }
      for (const name of ["runs", "readings", "alarms"]) {
        const imported = station(folder, "import", out(name), "--journal", to, "--json");
        expect(imported.status, imported.stderr).toBe(0);
        expect(JSON.parse(imported.stdout)).toMatchObject({ duplicates: 0, different: [], renumbered: [] });
      }
      expect(await contentsOf(to)).toEqual(await contentsOf(journal));
      const verified = station(folder, "verify", "--journal", to, "--json");
      expect(JSON.parse(verified.stdout)).toMatchObject({ ok: true, runs: 1, agree: 1 });
      expect(verified.status).toBe(0);
      // Once more, nothing is doubled.
      const again = station(folder, "import", out("readings"), "--journal", to, "--json");
      expect(JSON.parse(again.stdout)).toMatchObject({ readings: 0 });
      expect(await contentsOf(to)).toEqual(await contentsOf(journal));
    },
  );

  it("gives the table of runs with settings and figures, text that no spreadsheet takes for a formula", () => {
    const { stdout, stderr, status } = station(folder, "export", "--what", "runs", "--journal", journal);
    expect(status).toBe(0);
    expect(stderr).toBe("-: 1 runs\n");
    const [head, row] = stdout.split("\r\n");
    expect(head).toMatch(/^run,start,end,length_s,.*,power_pct,.*,coolant_mean_celsius,.*,flags,/);
    expect(row).toContain(`"'=MDF, 3 mm","the ""new"" one",,55,`);
    expect(row).toMatch(/Simulated: these readings come from the simulated bench/);
  });

  it("gives the whole journal as one checked file", async () => {
    const file = join(folder, "whole.sqlite");
    const { status, stdout } = station(
      folder,
      "export",
      "--what",
      "journal",
      "--journal",
      journal,
      "--out",
      file,
    );
    expect({ status, stdout }).toMatchObject({ status: 0, stdout: expect.stringContaining("with 1 runs") });
    const db = new Database(file, { readonly: true });
    expect(db.pragma("integrity_check", { simple: true })).toBe("ok");
    const kept = db.prepare("SELECT count(*) FROM reading").pluck().get();
    db.close();
    const readings = Object.values((await contentsOf(journal)).readings).flat();
    expect(kept).toBe(readings.length);
  });

  it("tells a call it does not understand from work it cannot do, and leaves no half file", () => {
    const at = ["--journal", journal];
    for (const args of [
      ["export", "--what", "everything"],
      ["export", "--format", "xml"],
      ["export", "--what", "runs", "--format", "senml"],
      ["export", "--from", "yesterday"],
      ["export", "--from", "2026-05-04T09:00"],
      ["export", "--what", "journal"],
      ["export", "--what", "alarms", "--channel", "coolant-in"],
      ["import"],
      ["import", "a", "b"],
    ]) {
      const { status, stdout, stderr } = station(folder, ...args, ...at);
      expect({ status, stdout }, args.join(" ")).toEqual({ status: 2, stdout: "" });
      expect(stderr.length).toBeGreaterThan(10);
    }
    const before = readdirSync(folder);
    const unknown = station(folder, "export", "--channel", "none", "--out", join(folder, "none.csv"), ...at);
    expect(unknown.status).toBe(1);
    expect(unknown.stderr).toContain('no channel "none"');
    const nowhere = station(folder, "export", "--out", join(folder, "nowhere/none.csv"), ...at);
    expect(nowhere.status).toBe(1);
    expect(nowhere.stderr).toContain("the folder is not there");
    expect(readdirSync(folder)).toEqual(before);
  });
});

describe("days of readings", () => {
  const ROWS = 300_000;
  const file = join(folder, "days.csv");

  beforeAll(() => {
    const handle = openSync(file, "w");
    writeSync(handle, csvRow(READING_COLUMNS));
    const session = { start: "start-1", bootId: "boot-1", simulated: false };
    for (let i = 0; i < ROWS; i += 1000) {
      const rows = Array.from({ length: 1000 }, (_, j) =>
        readingRow({ session, channel: null, reading: reading(`c${(i + j) % 3}`, i + j, i + j) }),
      );
      writeSync(handle, rows.join(""));
    }
    closeSync(handle);
  });

  it("pass through a heap that could not hold them: in, out to a file, and out to a slow reader", async () => {
    // As objects they would take over 60 MB.
    const little = ["--max-old-space-size=40", STATION_COMMAND];
    const journal = join(folder, "days");
    const read = spawnSync(process.execPath, [...little, "import", file, "--journal", journal, "--json"]);
    expect(read.stderr.toString()).toBe("");
    expect(JSON.parse(read.stdout.toString())).toMatchObject({ readings: ROWS, duplicates: 0 });

    const again = join(folder, "again.csv");
    const written = spawnSync(process.execPath, [...little, "export", "--journal", journal, "--out", again]);
    expect(written.stderr.toString()).toBe("");
    expect(readFileSync(again).equals(readFileSync(file))).toBe(true);
    expect(existsSync(`${again}.partial`)).toBe(false);

    const child = spawn(process.execPath, [...little, "export", "--journal", journal], {
      stdio: ["ignore", "pipe", "ignore"],
    });
    const pieces: Buffer[] = [];
    for await (const piece of child.stdout) {
      pieces.push(piece as Buffer);
      await new Promise((next) => setImmediate(next));
    }
    expect(Buffer.concat(pieces).equals(readFileSync(file))).toBe(true);
  });
});
