import Database from "better-sqlite3";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openForWriting } from "../../../station/journal/database.js";
import { createReads } from "../../../station/journal/reads.js";
import { STRETCH_ROWS } from "../../../station/journal/schema.js";
import { passingTrouble } from "../../../station/journal/trouble.js";
import { createWriter, FULL_EVERY_MS } from "../../../station/journal/writer.js";
import { type Quality, REASONS, type Reading, type Reason } from "../../../station/model/reading.js";
import {
  type Bench,
  blocksOf,
  columnsOf,
  emptyFolder,
  ended,
  openRun,
  reading,
  sessionStart,
  thrownBy,
  transition,
  writerBench,
} from "./samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
});
afterEach(() => bench.remove());

function count(table: string): number {
  return bench.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number;
}

const reasons = Object.entries(REASONS) as [Reason, { quality: Quality }][];
/** -0 is left out: SQLite keeps it as 0. */
const finite = fc.double({ noNaN: true, noDefaultInfinity: true }).map((n) => (n === 0 ? 0 : n));
const anyReading: fc.Arbitrary<Reading> = fc
  .record({
    channel: fc.constantFrom("coolant", "room", "fan", "lid"),
    wall: fc.integer({ min: 0, max: 4_102_444_800_000 }),
    mono: fc.integer({ min: 0, max: 10_000_000_000 }),
    value: fc.oneof(finite, fc.integer({ min: -40, max: 100 })),
    reason: fc.option(fc.constantFrom(...reasons), { nil: null }),
  })
  .map(({ channel, wall, mono, value, reason }) => {
    const quality = reason === null ? "good" : reason[1].quality;
    return {
      channel,
      at: { wall, mono },
      value: quality === "bad" ? null : value,
      quality,
      reason: reason?.[0] ?? null,
    };
  });

describe("readings", () => {
  it("come back as they were given, in the order they were given, however they were parcelled", () => {
    // All in one journal, with a boot of its own for each: a file for each would mostly test the disk.
    let boots = 0;
    fc.assert(
      fc.property(fc.array(fc.array(anyReading, { maxLength: 50 }), { maxLength: 6 }), (parcels) => {
        boots++;
        const bootId = `boot-of-example-${boots}`;
        const writer = createWriter(bench.db, sessionStart({ start: bootId, bootId }), () => 0);
        parcels.forEach((readings, i) => {
          writer.commit({ number: i + 1, readings: columnsOf(readings), action: null });
        });
        const window = { bootId, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
        expect(blocksOf(createReads(bench.db), window).flat()).toEqual(parcels.flat());
      }),
      { numRuns: 60 },
    );
  });

  it("hold whole numbers as integers and values as they came", () => {
    bench.put([reading("coolant", 250, 18), reading("coolant", 500, 18.0625), reading("coolant", 750, null)]);
    const types = bench.db
      .prepare(
        "SELECT typeof(channel) AS channel, typeof(session) AS session, typeof(wall) AS wall, typeof(mono) AS mono, " +
          "typeof(quality) AS quality, typeof(value) AS value FROM reading",
      )
      .all();
    const whole = {
      channel: "integer",
      session: "integer",
      wall: "integer",
      mono: "integer",
      quality: "integer",
    };
    expect(types).toEqual([
      { ...whole, value: "real" },
      { ...whole, value: "real" },
      { ...whole, value: "null" },
    ]);
  });

  it("are covered by stretches without gap or overlap, each with the times of exactly its rows", () => {
    const many = Array.from({ length: STRETCH_ROWS + 100 }, (_, i) => reading("coolant", i * 10));
    bench.put(many);
    bench.put([reading("room", 5), reading("coolant", 90_000)]);
    const stretches = bench.db.prepare("SELECT * FROM stretch ORDER BY first_id").all() as Record<
      string,
      number
    >[];
    expect(stretches.map((s) => [s.first_id, s.last_id])).toEqual([
      [1, STRETCH_ROWS],
      [STRETCH_ROWS + 1, STRETCH_ROWS + 102],
    ]);
    for (const s of stretches) {
      const exact = bench.db
        .prepare(
          "SELECT min(wall) AS min_wall, max(wall) AS max_wall, min(mono) AS min_mono, max(mono) AS max_mono " +
            "FROM reading WHERE id BETWEEN ? AND ?",
        )
        .get(s.first_id, s.last_id);
      expect(s).toMatchObject(exact as object);
    }
  });

  it("of a channel nobody defined are kept all the same", () => {
    bench.put([reading("unheard-of", 1)]);
    expect(bench.db.prepare("SELECT name FROM channel").pluck().all()).toEqual(["unheard-of"]);
  });

  it("that cannot be stored are counted as lost and do not hold up the action behind them", () => {
    bench.db.exec("CREATE TRIGGER refuse BEFORE INSERT ON reading BEGIN SELECT RAISE(ABORT, 'no'); END");
    const receipt = bench.put([reading("coolant", 1), reading("coolant", 2)], {
      name: "runBegun",
      params: openRun("r1"),
    });
    expect(receipt.lost).toBe(2);
    expect(receipt.result).toMatchObject({ id: "r1", number: 1 });
    expect(count("reading")).toBe(0);
  });
});

describe("a parcel", () => {
  it("given twice is written once and answered twice", () => {
    const parcel = {
      number: 1,
      readings: columnsOf([reading("coolant", 1)]),
      action: { name: "runBegun" as const, params: openRun("r1") },
    };
    const first = bench.writer.commit(parcel);
    const second = bench.writer.commit(parcel);
    expect(second.result).toEqual(first.result);
    expect([count("reading"), count("run")]).toEqual([1, 1]);
  });

  it("committed by a writer that is gone is known to the next one of the same start, with an action or without", () => {
    const note = {
      name: "maintenance" as const,
      params: { kind: "optics-cleaned", at: { wall: 1, mono: 1 }, note: "" },
    };
    const parcels = [
      { number: 1, readings: null, action: note },
      { number: 2, readings: columnsOf([reading("coolant", 1)]), action: null },
    ];
    for (const parcel of parcels) bench.writer.commit(parcel);
    const next = createWriter(bench.db, sessionStart(), () => 0);
    for (const parcel of parcels) next.commit(parcel);
    next.commit({ number: 3, readings: columnsOf([reading("coolant", 2)]), action: null });
    expect(next.session).toBe(bench.writer.session);
    expect([count("session"), count("maintenance"), count("reading")]).toEqual([1, 1, 2]);
  });

  it("whose action is refused keeps its readings", () => {
    const receipt = bench.put([reading("coolant", 1)], {
      name: "runEnded",
      params: ended(openRun("nobody")),
    });
    expect(receipt.refused).toMatchObject({ code: "run-unknown" });
    expect(count("reading")).toBe(1);
  });

  it("that meets a lock is written in no part, and whole when tried again", () => {
    bench.put([reading("coolant", 1)]);
    const other = new Database(bench.db.name);
    other.exec("BEGIN IMMEDIATE");
    const parcel = {
      number: 2,
      readings: columnsOf([reading("room", 2), reading("coolant", 3)]),
      action: { name: "alarmTransition" as const, params: transition("1-1") },
    };
    expect(passingTrouble(thrownBy(() => bench.writer.commit(parcel)))).toMatch(/another program/);
    other.exec("ROLLBACK");
    other.close();
    bench.writer.commit(parcel);
    expect([count("reading"), count("alarm_transition")]).toEqual([3, 1]);
  });

  it("that finds the disk full is written in no part, and whole once there is room", () => {
    bench.put([reading("coolant", 0)]);
    const pages = bench.db.pragma("page_count", { simple: true });
    bench.db.pragma(`max_page_count = ${pages}`);
    const many = Array.from({ length: 3000 }, (_, i) => reading(i % 2 === 0 ? "room" : "coolant", i));
    const parcel = { number: 2, readings: columnsOf(many), action: null };
    expect(passingTrouble(thrownBy(() => bench.writer.commit(parcel)))).toMatch(/disk is full/);
    expect(count("reading")).toBe(1);
    bench.db.pragma("max_page_count = 1073741823");
    bench.writer.commit(parcel);
    expect(count("reading")).toBe(3001);
    expect(bench.db.pragma("foreign_key_check")).toEqual([]);
  });
});

describe("durability", () => {
  const FULL = 2;
  const NORMAL = 1;
  function synchronous(): unknown {
    return bench.db.pragma("synchronous", { simple: true });
  }

  it("is FULL at every opening, though SQLite itself opens a WAL file again at NORMAL", () => {
    const { folder, remove } = emptyFolder();
    openForWriting(folder, { busyTimeoutMs: 50 }).close();
    const again = openForWriting(folder, { busyTimeoutMs: 50 });
    expect(again.pragma("synchronous", { simple: true })).toBe(FULL);
    expect(again.pragma("journal_mode", { simple: true })).toBe("wal");
    again.close();
    remove();
  });

  it("is FULL for what is answered, NORMAL for readings alone, and FULL again for those once in ten seconds", () => {
    bench.remove();
    let now = 0;
    bench = writerBench(sessionStart(), () => now);
    bench.put([reading("coolant", 1)], { name: "alarmTransition", params: transition("1-1") });
    expect(synchronous()).toBe(FULL);
    now += 2000;
    bench.put([reading("coolant", 2)]);
    expect(synchronous()).toBe(NORMAL);
    bench.put([], { name: "runBegun", params: openRun("r1") });
    expect(synchronous()).toBe(FULL);
    bench.put([reading("coolant", 3)]);
    expect(synchronous()).toBe(NORMAL);
    now += FULL_EVERY_MS;
    bench.put([reading("coolant", 4)]);
    expect(synchronous()).toBe(FULL);
  });
});
