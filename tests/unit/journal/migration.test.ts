import { copyFileSync, mkdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { gunzipSync } from "node:zlib";
import Database from "better-sqlite3";
import { afterEach, beforeEach, expect, it } from "vitest";
import { type Db, JOURNAL_FILE, migrate, openForWriting } from "../../../station/journal/database.js";
import { MIGRATIONS } from "../../../station/journal/migrations.js";
import { createReads } from "../../../station/journal/reads.js";
import type { PlanRecord } from "../../../station/journal/trials/calls.js";
import { createTrialReads } from "../../../station/journal/trials/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Lot } from "../../../station/model/lot.js";
import type { Marks } from "../../../station/model/marks.js";
import type { Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import { reduced } from "./reduced.js";
import {
  blocksOf,
  columnsOf,
  emptyFolder,
  ended,
  foundIn,
  openRun,
  reading,
  seal,
  sessionStart,
  WALL,
} from "./samples.js";

const FIXTURES = new URL("./fixtures/", import.meta.url);
const DAY = 86_400_000;

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
});
afterEach(() => remove());

/** As the program that wrote the file made them: 30 s apart, the clock set forward by a day at the 300th. */
function written(i: number): Reading {
  const at = { wall: WALL + 30_000 * i + (i >= 300 ? DAY : 0), mono: 1000 + 30_000 * i };
  const channel = i % 2 === 1 ? "room" : "coolant";
  return i % 50 === 7
    ? { channel, at, value: null, quality: "bad", reason: "crc-failed" }
    : { channel, at, value: 18 + (i % 37) / 16, quality: "good", reason: null };
}

function put(fixture: string): void {
  writeFileSync(join(folder, JOURNAL_FILE), gunzipSync(readFileSync(new URL(fixture, FIXTURES))));
}

function bringUp(fixture: string): Db {
  put(fixture);
  return openForWriting(folder, { busyTimeoutMs: 50 });
}

it("a journal of version 1 keeps its readings and runs, gets its rollups, and is sealed like any other", () => {
  const db = bringUp("version-1.sqlite.gz");
  const reads = createReads(db);
  const all = Array.from({ length: 500 }, (_, i) => written(i));
  const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
  const coolant = all.filter(({ channel }) => channel === "coolant");
  // The second start of the same file wrote two of them again.
  const twice = [...coolant, written(0)];
  for (const sealed of [false, true]) {
    if (sealed) seal(db);
    expect(db.prepare("SELECT count(*) FROM block").pluck().get()).toBe(sealed ? 2 : 0);
    expect(blocksOf(reads, window).flat()).toEqual(all);
    expect(blocksOf(reads, { ...window, bootId: "boot-2" }).flat()).toEqual([written(0), written(1)]);
    expect(reads.run("r1")).toMatchObject({ number: 1, settings: { power_pct: 55 } });
    const series = reads.series({
      channel: "coolant",
      from: WALL,
      to: WALL + 2 * DAY,
      buckets: 100,
    }) as Series;
    const width = (series.buckets[1]?.t as number) - series.from;
    expect(width % 900_000).toBe(0);
    expect(series.buckets).toEqual(reduced(twice, series.from, series.to, width));
  }
  expect(reads.integrity(null)).toEqual([]);
  expect(db.pragma("foreign_key_check")).toEqual([]);
  db.close();
});

it.each([2, 3, 4])(
  "a journal of version %i keeps its rows and blocks, runs, alarms and the rest",
  (version) => {
    const db = bringUp(`version-${version}.sqlite.gz`);
    const reads = createReads(db);
    const all = Array.from({ length: 500 }, (_, i) => written(i));
    const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
    const counted = db.prepare<[], { rows: number; blocks: number }>(
      "SELECT (SELECT count(*) FROM reading) AS rows, (SELECT count(*) FROM block) AS blocks",
    );
    expect(counted.get()).toEqual({ rows: 125, blocks: 6 });
    for (const sealed of [false, true]) {
      if (sealed) {
        createWriter(db, sessionStart({ start: "now", bootId: "boot-3" }), () => 0).commit({
          number: 1,
          readings: columnsOf([reading("coolant", 10 * DAY)]),
          action: null,
        });
        seal(db);
        expect(counted.get()?.rows).toBe(1);
      }
      expect(blocksOf(reads, window).flat()).toEqual(all);
      expect(foundIn(db)).toEqual([]);
    }
    const marks = reads.marks({ from: WALL, to: WALL + 2 * DAY, limit: 10 }) as Marks;
    expect(marks.runs.map(({ id, endWall }) => [id, endWall])).toEqual([
      ["r2", null],
      ["r1", WALL + 60_000],
    ]);
    expect(marks.alarms.map(({ wall }) => wall)).toEqual([WALL + 5000]);
    expect(marks.maintenance.map(({ note }) => note)).toEqual(["lens"]);
    expect(reads.run("r1")).toEqual({ ...ended(openRun("r1")), number: 1, placed: null });
    const last = db.prepare("SELECT new FROM setting_change WHERE subject = 'job-sheet'").pluck().get();
    expect(JSON.parse(last as string)).toEqual({ material: "poplar plywood 3 mm" });
    expect(reads.integrity(null)).toEqual([]);
    expect(db.pragma("foreign_key_check")).toEqual([]);
    db.close();
  },
);

it("a journal of version 4 keeps its lots, plans, specimens and entries, and takes deeds and notices in", () => {
  const db = bringUp("version-4.sqlite.gz");
  const reads = createTrialReads(db);
  const lots = reads.lots(null) as Lot[];
  expect(lots.map(({ number, facts }) => [number, facts.product])).toEqual([
    [2, "Board 2"],
    [1, "Board 1"],
  ]);
  const plan = reads.planCore("00000000-0000-4000-8000-0000000000a0") as PlanRecord;
  expect(plan.plan.facts.title).toBe("Two boards");
  expect(plan.specimens.map(({ code }) => code)).toEqual(["A7K3P", "B2M9Q"]);
  expect(plan.entries.map(({ kind, body }) => [kind, body])).toEqual([
    ["phase", { phase: "running" }],
    ["grade", { value: 1, grading: 1 }],
  ]);
  const writer = createWriter(db, sessionStart({ start: "now", bootId: "boot-3" }), () => 0);
  const at = { wall: WALL, mono: 1000 };
  const whom = { who: null, role: null, address: null };
  const done = { ...whom, what: "checklist-before", subject: "", outcome: "done", at };
  const told = [{ key: "mail:1", way: "mail", payload: 1, at }] as const;
  writer.commit({ number: 1, readings: null, action: { name: "deed", params: done } });
  writer.commit({ number: 2, readings: null, action: { name: "noticesKept", params: told } });
  expect(createReads(db).deeds({ limit: 9 })).toMatchObject({ deeds: [done] });
  expect(createReads(db).integrity(null)).toEqual([]);
  expect(db.pragma("foreign_key_check")).toEqual([]);
  db.close();
});

it("a journal of version 2 with a damaged rollup refuses the charts that it is in, and is repaired from its minutes", () => {
  put("version-2.sqlite.gz");
  const before = new Database(join(folder, JOURNAL_FILE));
  before.exec("UPDATE rollup_page SET data = zeroblob(7) WHERE width = 900000");
  before.close();
  const db = openForWriting(folder, { busyTimeoutMs: 50 });
  const ask = () =>
    createReads(db).series({ channel: "coolant", from: WALL, to: WALL + 40 * DAY, buckets: 40 }) as Series;
  expect(ask).toThrow(/is damaged in the journal/);
  foundIn(db, true);
  expect(foundIn(db)).toEqual([]);
  expect(ask().buckets.some(({ max }) => max !== null)).toBe(true);
  db.close();
});

it.each([
  ["version-1.sqlite.gz", 1],
  ["version-2.sqlite.gz", 2],
  ["version-3.sqlite.gz", 3],
  ["version-4.sqlite.gz", 4],
])(
  "a power cut while %s is brought up leaves it whole, to be brought up at the next start",
  (fixture, version) => {
    put(fixture);
    const cut = join(folder, "cut");
    const db = new Database(join(folder, JOURNAL_FILE));
    db.pragma("journal_mode = WAL");
    const readings = db.prepare("SELECT count(*), total(value) FROM reading").get();
    // So few pages are kept in memory that the migration is on the disk while it is still going on, as a large one would be.
    db.pragma("cache_size = 1");
    let written = 0;
    db.function("cut", () => {
      written = statSync(`${join(folder, JOURNAL_FILE)}-wal`).size;
      mkdirSync(cut);
      for (const name of [JOURNAL_FILE, `${JOURNAL_FILE}-wal`])
        copyFileSync(join(folder, name), join(cut, name));
      return null;
    });
    migrate(db, [
      ...MIGRATIONS.map(({ version: number, sql }) =>
        number === version + 1 ? { version: number, sql: `${sql} SELECT cut();` } : { version: number, sql },
      ),
    ]);
    db.close();
    expect(written).toBeGreaterThan(0);

    const left = new Database(join(cut, JOURNAL_FILE));
    expect(left.pragma("user_version", { simple: true })).toBe(version);
    expect(left.prepare("SELECT count(*), total(value) FROM reading").get()).toEqual(readings);
    left.close();
    let told = 0;
    const up = openForWriting(cut, { busyTimeoutMs: 50, onMigrating: (bytes) => (told = bytes) });
    expect(told).toBeGreaterThan(4096);
    expect(up.prepare("SELECT count(*), total(value) FROM reading").get()).toEqual(readings);
    expect(createReads(up).integrity(null)).toEqual([]);
    expect(foundIn(up)).toEqual([]);
    up.close();
    openForWriting(cut, { busyTimeoutMs: 50, onMigrating: () => expect.unreachable() }).close();
  },
);
