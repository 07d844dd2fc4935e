import { createWriteStream, existsSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Readable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { pathToFileURL } from "node:url";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createDownloads } from "../../station/journal/exchange/downloads.js";
import type { ExportsView } from "../../station/model/exports.js";
import type { Problem } from "../../station/model/now.js";
import { type Filled, fillJournal } from "../browser/filled-journal.js";
import { QUIET_BENCH } from "./quiet-bench.js";
import { station } from "./station-command.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const { folder, remove } = temporaryFolder();
const journal = join(folder, "journal");
const HOUR = 3_600_000;
let past: Filled;
let running: StationProcess;

beforeAll(async () => {
  past = fillJournal(folder, Math.floor(Date.now() / HOUR) * HOUR - 2 * HOUR);
  // What a copy cut off with the power has left.
  writeFileSync(join(journal, "download.sqlite.partial"), "half");
  running = await startStation(folder, QUIET_BENCH);
});
afterAll(async () => {
  await running?.stop();
  remove();
});

const address = (path: string) => `${running.url}/api/exports/${path}`;
const idle = () =>
  eventually(
    async () => !(await running.get<ExportsView>("/api/exports")).running,
    "no export to be running",
  );
const copies = () => readdirSync(journal).filter((name) => name.startsWith("download"));

async function linesOf(response: Response): Promise<string[]> {
  expect(response.status).toBe(200);
  return (await response.text()).split(/\r?\n/).filter((line) => line !== "");
}

describe("what the journal holds, sent to a browser", () => {
  it("is every reading of the span, as the export of the command line has it", async () => {
    const lines = await linesOf(await fetch(address(`readings.csv?to=${past.to}`)));
    // Two channels at 1 s for three days, without the hour in which nothing was read.
    expect(lines.length - 1).toBe(2 * (3 * 24 - 1) * 3600);
    const out = join(folder, "readings.csv");
    const to = new Date(past.to).toISOString();
    const exported = station(folder, "export", "--journal", journal, "--to", to, "--out", out, "--json");
    expect(JSON.parse(exported.stdout)).toMatchObject({ rows: lines.length - 1 });
    const one = await linesOf(
      await fetch(
        address(`readings.csv?from=${past.spike.wall}&to=${past.spike.wall + 1000}&channel=coolant-in`),
      ),
    );
    expect(one).toHaveLength(2);
    expect(one[1]).toContain(",34,good,");
    const packs = await linesOf(await fetch(address(`readings.senml?to=${past.from + HOUR}`)));
    // Asked for one straight after another: whoever has the whole of one is not refused the next.
    expect(packs.flatMap((pack) => JSON.parse(pack))).toHaveLength(2 * 3600);
  });

  it("is the whole journal as a file that a station can go on with, and nothing stays behind", async () => {
    await eventually(() => copies().length === 0, "what was left of a copy to be taken away");
    const response = await fetch(address("journal.sqlite"));
    const file = join(folder, "whole.sqlite");
    await pipeline(Readable.fromWeb(response.body as never), createWriteStream(file));
    expect(copies()).toEqual([]);
    const db = new Database(file, { readonly: true });
    expect(db.pragma("integrity_check", { simple: true })).toBe("ok");
    expect(db.prepare("SELECT count(*) FROM run").pluck().get()).toBe(1);
    db.close();
    const other = join(folder, "other");
    const restored = station(folder, "restore", file, "--journal", other);
    expect(restored.status, restored.stderr).toBe(0);
    const out = join(folder, "again.csv");
    const to = new Date(past.to).toISOString();
    const again = station(folder, "export", "--journal", other, "--to", to, "--out", out, "--json");
    expect(JSON.parse(again.stdout)).toMatchObject({ rows: 2 * (3 * 24 - 1) * 3600 });
    await idle();
  });

  it.each(["readings.csv", "readings.senml", "journal.sqlite"])(
    "is one thing at a time, and %s broken off makes room for the next",
    async (what) => {
      const leaving = new AbortController();
      // Broken off at the latest while it is being sent, and the copy of the journal while it is being made.
      const first = fetch(address(what), { signal: leaving.signal });
      first.catch(() => {});
      await eventually(
        async () => (await running.get<ExportsView>("/api/exports")).running,
        "the export to be begun",
      );
      const second = await fetch(address("readings.csv"));
      expect(second.status).toBe(409);
      expect(((await second.json()) as Problem).detail).toBe(
        "Another export is being sent. Wait until it is done, then try again.",
      );
      leaving.abort();
      await idle();
      expect(copies()).toEqual([]);
      expect(await linesOf(await fetch(address(`readings.csv?to=${past.from + 1000}`)))).toHaveLength(3);
      await idle();
      expect(running.output()).not.toMatch(/a request failed/);
    },
  );

  it("that breaks off by a fault of the station says so", async () => {
    const { folder, remove } = temporaryFolder();
    mkdirSync(join(folder, "backup"));
    writeFileSync(join(folder, "backup", "backup-thread.js"), "process.exit(9);");
    const threadsUrl = pathToFileURL(`${folder}/`);
    const downloads = createDownloads({ folder: journal, reserveBytes: 0, threadsUrl });
    const words = /^The export broke off by a fault of the station \(.*[^.]\)\. Try again\.$/;
    await expect(downloads.journal()).rejects.toMatchObject({
      code: "export-failed",
      message: expect.stringMatching(words),
    });
    expect(downloads.view()).toEqual({ running: false, trouble: expect.stringMatching(words) });
    remove();
  });

  it("is refused in words where the channel is not known, or there is no room for a copy", async () => {
    const unknown = await fetch(address("readings.csv?channel=nothing"));
    expect(unknown.status).toBe(404);
    expect(((await unknown.json()) as Problem).code).toBe("channel-unknown");
    expect(await running.get<ExportsView>("/api/exports")).toEqual({
      running: false,
      trouble: 'The journal has no channel "nothing".',
    });
    const downloads = createDownloads({
      folder: journal,
      reserveBytes: 1e18,
      threadsUrl: new URL("../../.build/station/journal/", import.meta.url),
    });
    await expect(downloads.journal()).rejects.toMatchObject({
      code: "export-failed",
      message: expect.stringMatching(/there is no room for a copy to be sent/),
    });
    expect(downloads.view()).toMatchObject({ running: false, trouble: expect.stringMatching(/no room/) });
    expect(existsSync(join(journal, "download.sqlite"))).toBe(false);
  });
});
