import { spawn } from "node:child_process";
import { once } from "node:events";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { stringify } from "yaml";
import { createReads } from "../../station/journal/reads.js";
import { KEEP_PATH, SETTINGS_SUBJECT } from "../../station/setting-changes.js";
import { DEMO_CONFIG } from "../../station/sources/bench-simulator/channels.js";
import {
  type Bench,
  blocksOf,
  channel,
  ended,
  foundIn,
  openRun,
  reading,
  sessionStart,
  WALL,
  writerBench,
} from "../unit/journal/samples.js";
import { closing } from "../unit/journal/thinned.js";
import { station } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

const HOUR = 3_600_000;
const THINNING = fileURLToPath(new URL("thinning.mjs", import.meta.url));
const HOURS = 60;

/** Some days of three channels, all sealed, with a run every ten hours. */
function fill(folder: string): Bench {
  const bench = writerBench(sessionStart(), () => 0, folder);
  bench.put([], { name: "channelsDefined", params: ["c0", "c1", "c2"].map((id) => channel(id)) });
  for (let hour = 0; hour < HOURS; hour++) {
    bench.put(
      Array.from({ length: 360 }, (_, i) => reading(`c${i % 3}`, hour * HOUR + i * 10_000, (i % 90) / 16)),
    );
  }
  for (let hour = 3; hour < HOURS; hour += 10) {
    const run = openRun(`run-${hour}`, { startMono: 1000 + hour * HOUR, startWall: WALL + hour * HOUR });
    const end = { endMono: run.startMono + 60_000, endWall: run.startWall + 60_000 };
    bench.put([], { name: "runBegun", params: run });
    bench.put([], { name: "runEnded", params: { ...ended(run, end), ...end } });
  }
  closing(bench, HOURS * HOUR);
  return bench;
}

/** Has the journal thinned by a process that is killed once so many blocks have been. */
async function thinAndKill(folder: string, start: string, blocks: number): Promise<void> {
  const args = [THINNING, folder, start, `${WALL + HOURS * HOUR + 1}`, `${blocks}`];
  const child = spawn(process.execPath, args, { stdio: ["ignore", "ignore", "inherit"] });
  const [, signal] = await once(child, "exit");
  expect(signal).toBe("SIGKILL");
}

describe("a rule of keeping", () => {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  let bench: Bench;

  beforeAll(() => {
    bench = fill(journal);
  });
  afterAll(() => {
    bench.remove();
    remove();
  });

  const configured = (days: number) => {
    const file = join(folder, "station.yaml");
    const config = { ...DEMO_CONFIG, journal: { folder: journal, keep_full_resolution_days: days } };
    writeFileSync(file, stringify(config));
    return config;
  };

  it("is said by check before it takes anything away, with how much that would be and when it begins", () => {
    configured(60);
    const { stdout } = station(folder, "check");
    expect(stdout).toMatch(/old readings: readings older than 60 days lose their full resolution for good/);
    expect(stdout).toMatch(
      /now that would be 21601 readings, of 2026-05-04T09:00:00.000Z to 2026-05-06T21:00:00.000Z, without those around runs/,
    );
    expect(stdout).toMatch(/it takes nothing away before 20.*; until then it can be changed back/);
  });

  it("is said in the log at the start, kept as a change of setting, and takes nothing away at first", async () => {
    const running = await startStation(folder, configured(60));
    await eventually(() => running.output().includes(`setting=${KEEP_PATH}`), "the words of the rule");
    expect(running.output()).toMatch(
      /warn "?readings older than 60 days lose their full resolution for good/,
    );
    await running.stop();
    const change = bench.db
      .prepare("SELECT new FROM setting_change WHERE subject = ? AND path = ?")
      .pluck()
      .all(SETTINGS_SUBJECT, KEEP_PATH);
    expect(change).toEqual(["60"]);
    expect(bench.db.prepare("SELECT count(*) FROM thinned").pluck().get()).toBe(0);
  });

  it("carried out by a station that is killed again and again loses nothing that it should keep", async () => {
    const reads = createReads(bench.db);
    const all = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
    const readings = blocksOf(reads, all).flat();
    const windows = () =>
      Array.from({ length: HOURS / 10 }, (_, i) => {
        const startMono = 1000 + (10 * i + 3) * HOUR;
        return blocksOf(reads, {
          ...all,
          fromMono: startMono - 1_200_000,
          toMono: startMono + 75_000,
        }).flat();
      });
    const chart = () => reads.series({ channel: "c1", from: WALL, to: WALL + HOURS * HOUR, buckets: 120 });
    const before = [windows(), chart()];
    const thinned = () => bench.db.prepare("SELECT count(*) FROM thinned").pluck().get() as number;
    let done = 0;
    for (const blocks of [1, 20, 45]) {
      await thinAndKill(journal, `thinning-${blocks}`, done + blocks);
      expect(thinned()).toBeGreaterThanOrEqual(done + blocks);
      done = thinned();
      expect([windows(), chart()]).toEqual(before);
      expect([reads.integrity(null), foundIn(bench.db)]).toEqual([[], []]);
      const removed = bench.db
        .prepare("SELECT coalesce(sum(removed), 0) FROM thinned")
        .pluck()
        .get() as number;
      expect(blocksOf(reads, all).flat().length + removed).toBe(readings.length);
    }
    expect(done).toBeLessThan(3 * HOURS);
  });

  it("is said by an export that holds no more what it took away", () => {
    const out = join(folder, "readings.csv");
    const { status, stdout } = station(folder, "export", "--journal", journal, "--out", out);
    expect(status).toBe(0);
    expect(stdout).toMatch(
      /readings.csv: \d+ readings\nThe rule of keeping has taken \d+ readings away between 2026-05-0/,
    );
    const later = station(
      folder,
      "export",
      "--journal",
      journal,
      "--out",
      out,
      "--from",
      "2026-06-01",
      "--json",
    );
    expect(JSON.parse(later.stdout)).toMatchObject({
      what: "readings",
      thinned: { readings: 0, from: null },
    });
  });

  it("leaves a journal whose stamps and rollups verify agrees with", () => {
    const { stdout } = station(folder, "verify", "--journal", journal);
    expect(stdout).toContain("ok  the rollups that charts are drawn from are what the readings say");
    expect(stdout).toMatch(/ok {2}all \d+ sealed blocks of readings can be read/);
  });
});
