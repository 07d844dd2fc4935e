import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { JOURNAL_FILE } from "../../../station/journal/database.js";
import { createReads } from "../../../station/journal/reads.js";
import { lookThrough } from "../../../station/journal/soundness/look.js";
import { mendIndexes } from "../../../station/journal/soundness/mend.js";
import { soundnessOf } from "../../../station/journal/soundness/words.js";
import type { Series } from "../../../station/model/now.js";
import { loseEntries } from "./lost-index.js";
import { type Bench, blocksOf, channel, reading, seal, WALL, writerBench } from "./samples.js";

const HOUR = 3_600_000;
const SOUND = { indexes: [], damage: [], rollups: [] };

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
  bench.put([], { name: "channelsDefined", params: [channel("room"), channel("coolant")] });
  for (let i = 0; i < 8; i++) {
    bench.put(
      Array.from({ length: 240 }, (_, j) =>
        reading(j % 2 === 0 ? "room" : "coolant", i * HOUR + j * 14_000, (j % 50) / 16),
      ),
    );
  }
  seal(bench.db);
});
afterEach(() => bench.remove());

function lose(index: string, kept: string): void {
  loseEntries(join(bench.folder, JOURNAL_FILE), index, kept);
}

function valuesOf(): number {
  const asked = { channel: "room", from: WALL, to: WALL + HOUR, buckets: 400 };
  const { buckets } = createReads(bench.db).series(asked) as Series;
  return buckets.reduce((sum, { count }) => sum + (count ?? 0), 0);
}

describe("the station's look through its journal", () => {
  it("finds nothing in one that is sound", () => {
    expect(lookThrough(bench.db)).toEqual(SOUND);
  });

  it.each([
    ["block_by_wall", "id > 2"],
    ["sealed_by_session", "first_block > 1"],
  ])("tells of an index without all its entries (%s), which is made anew from the rows", (index, kept) => {
    const whole = valuesOf();
    const replay = () =>
      blocksOf(createReads(bench.db), { bootId: "boot-1", fromMono: 0, toMono: 9e9 }).flat();
    const all = replay();
    lose(index, kept);
    expect([valuesOf() < whole, replay().length < all.length]).toContain(true);
    expect(lookThrough(bench.db)).toEqual({ ...SOUND, indexes: [index] });
    expect(bench.put([], { name: "indexMade", params: index }).refused).toBeNull();
    expect(lookThrough(bench.db)).toEqual(SOUND);
    expect(valuesOf()).toBe(whole);
    expect(replay()).toEqual(all);
  });

  it("makes no index anew from rows that are damaged themselves", () => {
    lose("block_by_wall", "id > 2");
    bench.db.exec("UPDATE block SET min_wall = min_wall + 600000 WHERE id = 5");
    const { indexes, damage } = lookThrough(bench.db);
    expect(indexes).toEqual([]);
    expect(damage).toContainEqual(
      expect.stringMatching(/missing from index block_by_wall|wrong # of entries/),
    );
    expect(damage).toContainEqual(expect.stringMatching(/^The readings of room|coolant/));
  });

  it("refuses to make an index that there is not", () => {
    expect(bench.put([], { name: "indexMade", params: 'x"; DROP TABLE run' }).refused).toMatchObject({
      code: "request-invalid",
    });
  });

  it("tells readings that are lost from rollups that can be made anew", () => {
    bench.db.exec("UPDATE rollup_page SET data = zeroblob(90) WHERE id = 1");
    const charts = lookThrough(bench.db);
    expect(charts).toMatchObject({ indexes: [], damage: [] });
    expect(charts.rollups).toEqual([expect.stringMatching(/^The rollups over \d+ min of /)]);
    expect(soundnessOf(charts, [], 5)).toMatchObject({ state: "rollups", lookedWall: 5 });
    bench.db.exec("UPDATE block SET data = zeroblob(0) WHERE id = 3");
    const lost = lookThrough(bench.db);
    expect(lost.damage).toEqual([
      expect.stringMatching(/^The readings of (room|coolant) from 20.*: charts of days .* show its minutes$/),
    ]);
    expect(soundnessOf(lost, [], 5).doubt).toMatch(/^The journal is damaged: .*restore FILE/);
  });

  it("finds rows and rollups of two times beside each other", () => {
    // A page as it was before the last group was sealed, with its checksum.
    bench.db.exec("CREATE TEMP TABLE earlier AS SELECT * FROM rollup_page");
    for (let i = 8; i < 12; i++) {
      bench.put(Array.from({ length: 120 }, (_, j) => reading("room", i * HOUR + j * 29_000, j / 16)));
    }
    expect(seal(bench.db)).toBeGreaterThan(0);
    expect(lookThrough(bench.db)).toEqual(SOUND);
    bench.db.exec("UPDATE rollup_page SET data = (SELECT data FROM earlier e WHERE e.id = rollup_page.id)");
    expect(lookThrough(bench.db).rollups.length).toBeGreaterThan(0);
  });

  it("is what a repair goes by as well", () => {
    lose("block_by_wall", "id > 2");
    bench.db.close();
    expect(mendIndexes(bench.folder)).toEqual(["block_by_wall"]);
    expect(mendIndexes(bench.folder)).toEqual([]);
  });
});

describe("an answer over a journal in which something is gone", () => {
  it("is refused where the minutes of a block, or a channel, are not found", () => {
    const reads = createReads(bench.db);
    const day = { channel: "room", from: WALL, to: WALL + 8 * HOUR, buckets: 480 };
    reads.series(day);
    bench.db.exec("DELETE FROM block_minutes WHERE block = 3");
    expect(() => reads.series(day)).toThrow(/damaged in the journal.*verify --repair/);
    const all = { bootId: "boot-1", fromMono: 0, toMono: 9e9 };
    const rows = { bootId: "boot-1", mono: 9e9, withinMs: 9e9 };
    expect(blocksOf(reads, all).flat().length).toBe(8 * 240);
    reads.lastReadingsBefore(rows);
    bench.db.pragma("foreign_keys = OFF");
    bench.db.exec("DELETE FROM block_minutes; DELETE FROM block; DELETE FROM sealed");
    bench.db.exec("DELETE FROM channel WHERE name = 'room'");
    expect(() => blocksOf(reads, all)).toThrow(/channels are damaged/);
    expect(() => reads.lastReadingsBefore(rows)).toThrow(/channels are damaged/);
  });

  it("is refused where there is nothing in the place of a block's bytes", () => {
    const table = bench.db
      .prepare("SELECT sql FROM sqlite_schema WHERE name = 'block'")
      .pluck()
      .get() as string;
    bench.db.unsafeMode(true);
    bench.db.pragma("writable_schema = ON");
    const call = bench.db.prepare("UPDATE sqlite_schema SET sql = ? WHERE name = 'block'");
    call.run(table.replace("data BLOB NOT NULL", "data BLOB"));
    bench.db.pragma("writable_schema = RESET");
    bench.db.exec("UPDATE block SET data = NULL WHERE id = 1");
    const all = { bootId: "boot-1", fromMono: 0, toMono: 9e9 };
    expect(() => blocksOf(createReads(bench.db), all)).toThrow(
      /are damaged in the journal and are not shown/,
    );
  });
});

describe("what is said of a look", () => {
  it("says while it is under way, and where it could not be done, that it is not known", () => {
    expect(soundnessOf(null, [], null)).toMatchObject({ state: "looking", lookedWall: null });
    expect(soundnessOf(null, [], null).doubt).toMatch(/being looked through/);
    expect(soundnessOf(null, [], null, "no memory.").doubt).toBe(
      "The journal could not be looked through: no memory. Whether it is sound is not known.",
    );
  });

  it("says which index was made anew, and does not call one sound that is not yet", () => {
    expect(soundnessOf(SOUND, ["run_by_wall"], 1)).toEqual({
      ...{ state: "sound", lookedWall: 1, doubt: null },
      text: "The journal was looked through and is sound. An index had lost entries and was made anew from the records (run_by_wall). Nothing was lost.",
    });
    expect(soundnessOf({ ...SOUND, indexes: ["run_by_wall"] }, [], 1).state).toBe("damaged");
  });
});
