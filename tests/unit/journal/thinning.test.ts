import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import { STAMP_REACH } from "../../../station/retention.js";
import {
  type Bench,
  columnsOf,
  ended,
  foundIn,
  openRun,
  reading,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";
import { CHANNELS, closing, HOUR, kept, removed, thin, thinnerOf } from "./thinned.js";

describe("thinning", () => {
  let bench: Bench;
  let reads: Reads;
  beforeEach(() => {
    bench = writerBench();
    reads = createReads(bench.db);
    bench.put([], { name: "channelsDefined", params: CHANNELS });
    for (let i = 0; i < 8 * 3600; i += 1800) {
      bench.put(
        Array.from({ length: 900 }, (_, j) =>
          reading("coolant", (i + 2 * j) * 1000, 18 + ((i + j) % 40) / 16),
        ),
      );
    }
    const run = openRun("run", { startMono: 1000 + 3 * HOUR, startWall: WALL + 3 * HOUR });
    bench.put([], { name: "runBegun", params: run });
    const end = { endMono: run.startMono + 300_000, endWall: run.startWall + 300_000 };
    bench.put([], { name: "runEnded", params: { ...ended(run, end), ...end } });
    closing(bench, 9 * HOUR);
  });
  afterEach(() => bench.remove());

  const ALL = WALL + 29 * HOUR;

  function minuteOf(ms: number, buckets = 30): Series {
    return reads.series({ channel: "coolant", from: WALL + ms, to: WALL + ms + 60_000, buckets }) as Series;
  }

  it("keeps around a run what its stamp needs, of the rest the minutes, and says how much went", () => {
    const sealed = kept(reads).length;
    expect(reads.thinnable({ beforeWall: ALL })).toEqual({
      readings: sealed + 1,
      from: WALL,
      to: WALL + 9 * HOUR,
    });
    thin(bench.db, ALL);
    const from = 3 * HOUR - STAMP_REACH.leadMs;
    const to = 3 * HOUR + 300_000 + STAMP_REACH.afterMs;
    const around = (to - from) / 2000;
    const left = kept(reads).filter(({ at }) => at.wall >= WALL + from && at.wall <= WALL + to);
    expect(left).toHaveLength(Math.floor(around) + 1);
    // Beside them the last moment of each group, and the last before the window in the blocks of the two hours before.
    expect(kept(reads).length).toBeLessThan(left.length + 20);
    expect(reads.thinned({ from: null, to: null, channels: null })).toMatchObject({
      readings: sealed - kept(reads).length,
    });
    expect(reads.thinned({ from: null, to: null, channels: ["room"] })).toMatchObject({ readings: 0 });
    expect(reads.thinned({ from: WALL + 9 * HOUR, to: null, channels: null })).toMatchObject({ readings: 0 });
    // The last old group waits for one after it that says how old it is.
    expect(reads.thinnable({ beforeWall: ALL })).toMatchObject({ readings: 1 });
  });

  it("leaves minutes for charts that are finer than they are, where the readings went and nowhere else", () => {
    const old = minuteOf(HOUR);
    const run = minuteOf(3 * HOUR, 60);
    thin(bench.db, ALL);
    const values = old.buckets.flatMap(({ min, max }) => [min as number, max as number]);
    const { buckets, thinned, ...rest } = minuteOf(HOUR);
    expect(thinned).toBe(true);
    expect(rest).toEqual({ channel: "coolant", unit: "Cel", from: old.from, to: old.to });
    expect(buckets).toHaveLength(30);
    for (const { min, mean, max, ...counted } of buckets) {
      // How many readings of the minute were of this bucket is gone with them.
      expect(counted).toEqual({ t: expect.any(Number) });
      expect([min, max]).toEqual([Math.min(...values), Math.max(...values)]);
      expect(mean).toBeCloseTo(old.buckets.reduce((sum, each) => sum + (each.mean as number), 0) / 30, 9);
    }
    // Every second bucket of the run stands empty, as it did before.
    expect(minuteOf(3 * HOUR, 60)).toEqual(run);
    expect(run.buckets.filter(({ mean }) => mean === null)).toHaveLength(30);
  });

  it("gives minutes up to the edge of a run's window, and readings from there on", () => {
    const edge = 3 * HOUR - STAMP_REACH.leadMs;
    const at = { channel: "coolant", from: WALL + edge - 60_000, to: WALL + edge + 60_000, buckets: 60 };
    const before = reads.series(at) as Series;
    thin(bench.db, ALL);
    const after = reads.series(at) as Series;
    expect(after.thinned).toBe(true);
    expect(after.buckets.slice(31)).toEqual(before.buckets.slice(31));
    expect(after.buckets[3]).toMatchObject({ min: after.buckets[20]?.min, max: after.buckets[20]?.max });
  });

  it("leaves a block alone that it cannot read, and one whose minutes were wrong gets right ones first", () => {
    const hours = reads.series({ channel: "coolant", from: WALL, to: WALL + 8 * HOUR, buckets: 16 });
    bench.db.exec(
      "UPDATE block SET data = zeroblob(40) WHERE id = 1; DELETE FROM block_minutes WHERE block = 5",
    );
    thin(bench.db, ALL);
    expect(bench.db.prepare("SELECT length(data) FROM block WHERE id = 1").pluck().get()).toBe(40);
    expect(bench.db.prepare("SELECT 1 FROM thinned WHERE block = 1").get()).toBeUndefined();
    expect(reads.series({ channel: "coolant", from: WALL, to: WALL + 8 * HOUR, buckets: 16 })).toEqual(hours);
    expect(foundIn(bench.db)).toEqual([expect.stringMatching(/readings of coolant from/)]);
  });

  it("leaves readings alone that a clock dated too early before it was set", () => {
    const ids = { start: "flat", bootId: "flat" };
    const writer = createWriter(bench.db, sessionStart(ids), () => 0);
    const readings = Array.from({ length: 6000 }, (_, i): Reading => {
      const { at, ...rest } = reading("coolant", i * 2000);
      // Goes on from where it stood when the power went, until it is set after three hours: a year has passed meanwhile.
      return {
        ...rest,
        at: { mono: at.mono, wall: WALL + i * 2000 + (i < 5400 ? 10 : 365 * 24) * HOUR },
      };
    });
    for (let i = 0; i < 6000; i += 600) {
      writer.commit({ number: 1 + i, readings: columnsOf(readings.slice(i, i + 600)), action: null });
    }
    closing(bench, 366 * 24 * HOUR);
    thin(bench.db, ALL);
    expect(kept(reads, "flat")).toEqual(readings);
    thin(bench.db, WALL + 400 * 24 * HOUR);
    expect(kept(reads, "flat").length).toBeLessThan(10);
  });

  it("that fails in the middle of a step has taken nothing away in it, and is done the next time", () => {
    const before = kept(reads);
    bench.db.exec("CREATE TRIGGER no BEFORE INSERT ON thinned BEGIN SELECT RAISE(ABORT, 'no'); END");
    const thinner = thinnerOf(bench.db, ALL);
    expect(() => {
      while (thinner.step());
    }).toThrow(/no/);
    expect(kept(reads)).toEqual(before);
    bench.db.exec("DROP TRIGGER no");
    while (thinner.step());
    expect(removed(bench.db)).toBeGreaterThan(10_000);
    expect(foundIn(bench.db)).toEqual([]);
  });

  it("makes room in the file for new readings", () => {
    const pages = (name: string) => bench.db.pragma(name, { simple: true }) as number;
    for (let hour = 40; hour < 140; hour++) {
      bench.put(
        Array.from({ length: 450 }, (_, j) => reading("room", hour * HOUR + 8000 * j, Math.sin(j) * 9)),
      );
    }
    closing(bench, 150 * HOUR);
    const [all, free] = [pages("page_count"), pages("freelist_count")];
    thin(bench.db, WALL + 200 * HOUR);
    expect(pages("page_count")).toBe(all);
    expect(pages("freelist_count")).toBeGreaterThan(free + 50);
  });

  it("lets verify find where the minutes that are all there is of readings have gone or are of others", () => {
    thin(bench.db, ALL);
    const block = bench.db
      .prepare<[], number>("SELECT block FROM thinned WHERE removed > 0 ORDER BY block")
      .pluck();
    const [first, second] = block.all();
    bench.db.prepare("UPDATE block_minutes SET data = zeroblob(9) WHERE block = ?").run(first);
    expect(foundIn(bench.db, true)).toEqual([expect.stringMatching(/all that the rule of keeping left/)]);
    expect(foundIn(bench.db)).toEqual([expect.stringMatching(/all that the rule of keeping left/)]);
    expect(second).toBeDefined();
  });
});
