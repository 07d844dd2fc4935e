import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Columns, readingsOf } from "../../../station/journal/columns.js";
import type { Db } from "../../../station/journal/database.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { createThinner, type Thinner } from "../../../station/journal/thinning/thinner.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import type { Run } from "../../../station/model/run.js";
import { STAMP_REACH } from "../../../station/retention.js";
import { type ReplayReadings, restamp } from "../../../station/trials/recover.js";
import {
  type Bench,
  blocksOf,
  channel,
  columnsOf,
  ended,
  foundIn,
  openRun,
  reading,
  seal,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const CHANNELS = [
  channel("coolant"),
  channel("room", { kind: "room-temperature" }),
  channel("laser", { kind: "laser-on", unit: "state", valid: [0, 1], resolution: 1 }),
];
const RULES = { definitions: CHANNELS, coolantRange: { low: 17, high: 21 }, minGoodShare: 0.8 };

function thinnerOf(db: Db, beforeWall: number): Thinner {
  const thinner = createThinner(db);
  thinner.order({ beforeWall, reach: STAMP_REACH });
  return thinner;
}

/** As many steps as it takes, or as are given; returns how many were taken. */
function thin(db: Db, beforeWall: number, most = Number.POSITIVE_INFINITY): number {
  const thinner = thinnerOf(db, beforeWall);
  let steps = 0;
  while (steps < most && thinner.step()) steps++;
  return steps;
}

function replayOf(reads: Reads): ReplayReadings {
  return {
    lastReadingsBefore: async (bootId, mono) =>
      readingsOf(reads.lastReadingsBefore({ bootId, mono, withinMs: STAMP_REACH.lookBackMs }) as Columns),
    async *readingsForReplay(window) {
      yield* blocksOf(reads, window);
    },
  };
}

function kept(reads: Reads, bootId = "boot-1"): Reading[] {
  return blocksOf(reads, { bootId, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER }).flat();
}

function removed(db: Db): number {
  return db.prepare("SELECT coalesce(sum(removed), 0) FROM thinned").pluck().get() as number;
}

const someBoots = fc.array(
  fc.record({
    steps: fc.array(
      fc.record({
        channel: fc.constantFrom(...CHANNELS.map(({ id }) => id)),
        ms: fc.oneof(
          { weight: 8, arbitrary: fc.integer({ min: 200, max: 90_000 }) },
          { weight: 1, arbitrary: fc.integer({ min: -3000, max: 3 * HOUR }) },
        ),
        set: fc.oneof(
          { weight: 60, arbitrary: fc.constant(0) },
          { weight: 1, arbitrary: fc.integer({ min: -50 * HOUR, max: 50 * HOUR }) },
        ),
        value: fc.oneof(
          fc.integer({ min: 240, max: 360 }).map((k) => k / 16),
          fc.constant(null),
          fc.double({ min: 15, max: 23, noNaN: true }),
        ),
      }),
      { minLength: 20, maxLength: 250, size: "max" },
    ),
    runs: fc.array(
      fc.record({
        begins: fc.double({ min: 0, max: 1, noNaN: true }),
        lastsMs: fc.integer({ min: 1, max: 400_000 }),
        open: fc.constantFrom(true, false, false, false, false, false),
      }),
      { maxLength: 4 },
    ),
  }),
  { minLength: 1, maxLength: 3 },
);
type Boots = typeof someBoots extends fc.Arbitrary<infer B> ? B : never;

/** Writes them, a start of the station to each boot, and one more after them, and seals all but that. */
function write(bench: Bench, boots: Boots) {
  let wall = WALL;
  const all: Reading[] = [];
  const runs: Run[] = [];
  for (const [i, { steps, runs: some }] of boots.entries()) {
    const bootId = `boot-${i}`;
    const writer = createWriter(bench.db, sessionStart({ start: `start-${i}`, bootId }), () => 0);
    let number = 1;
    writer.commit({ number, readings: null, action: { name: "channelsDefined", params: CHANNELS } });
    let mono = 1000;
    const readings = steps.map((step): Reading => {
      mono = Math.max(0, mono + step.ms);
      wall += step.ms + step.set;
      return { ...reading(step.channel, 0, step.value), at: { wall, mono } };
    });
    for (let from = 0; from < readings.length; from += 25) {
      number++;
      writer.commit({ number, readings: columnsOf(readings.slice(from, from + 25)), action: null });
    }
    all.push(...readings);
    for (const [j, { begins, lastsMs, open }] of some.entries()) {
      const startMono = Math.round(begins * mono);
      const run = openRun(`run-${i}-${j}`, { bootId, startMono, startWall: wall });
      const close = { startMono, endMono: startMono + lastsMs, endWall: wall + lastsMs, bootId };
      const done = { ...ended(run, close), endMono: close.endMono, endWall: close.endWall };
      number++;
      writer.commit({ number, readings: null, action: { name: "runBegun", params: run } });
      if (open) continue;
      number++;
      writer.commit({ number, readings: null, action: { name: "runEnded", params: done } });
      runs.push(done);
    }
  }
  closing(bench);
  const walls = all.map(({ at }) => at.wall);
  return { all, runs, first: Math.min(...walls), last: Math.max(...walls) };
}

/** A start of the station after all others, so that what those wrote can be sealed. */
function closing(bench: Bench, start = "last"): void {
  const last = createWriter(bench.db, sessionStart({ start, bootId: "last" }), () => 0);
  last.commit({ number: 1, readings: columnsOf([reading("coolant", 900 * DAY)]), action: null });
  seal(bench.db);
}

describe("a journal that was thinned", () => {
  it("gives what the stamps of runs were made of as before, and all that is younger, and the same rollups", async () => {
    let taken = 0;
    let stamps = 0;
    await fc.assert(
      fc.asyncProperty(
        someBoots,
        fc.double({ min: 0.2, max: 1.3, noNaN: true }),
        fc.array(fc.nat(12), { maxLength: 2 }),
        async (boots, share, cutOffs) => {
          const bench = writerBench();
          const reads = createReads(bench.db);
          const { all, runs, first, last } = write(bench, boots);
          const before = first + share * (last - first);
          const bootIds = boots.map((_, i) => `boot-${i}`);
          const replay = replayOf(reads);
          const ask = async () => ({
            stamps: await Promise.all(runs.map((run) => restamp(run, replay, RULES))),
            windows: runs.map(({ bootId, startMono, endMono }) =>
              blocksOf(reads, {
                bootId,
                fromMono: startMono - STAMP_REACH.leadMs,
                toMono: (endMono as number) + STAMP_REACH.afterMs,
              }).flat(),
            ),
            younger: bootIds.map((id) => kept(reads, id).filter(({ at }) => at.wall >= before)),
            ends: bootIds.map((bootId) => reads.lastReadingAt({ bootId })),
            span: reads.span(null),
            charts: CHANNELS.flatMap(({ id }) =>
              [120_000, HOUR, 6 * HOUR].map((width) => {
                const buckets = Math.min(2000, Math.ceil((last - first) / width));
                return reads.series({ channel: id, from: first, to: first + buckets * width, buckets });
              }),
            ),
          });
          const asked = await ask();
          for (const steps of [...cutOffs, Number.POSITIVE_INFINITY]) {
            thin(bench.db, before, steps);
            expect(await ask()).toEqual(asked);
            expect(foundIn(bench.db)).toEqual([]);
            const left = bootIds.flatMap((id) => kept(reads, id));
            expect(left.length + removed(bench.db)).toBe(all.length);
            const places = new Map(left.map((one) => [JSON.stringify(one), one]));
            expect(all.filter((one) => places.has(JSON.stringify(one))).length).toBeGreaterThanOrEqual(
              left.length,
            );
          }
          expect(thin(bench.db, before)).toBeLessThanOrEqual(1);
          foundIn(bench.db, true);
          expect(await ask()).toEqual(asked);
          taken += removed(bench.db);
          stamps += runs.length;
          bench.remove();
        },
      ),
      { numRuns: 15 },
    );
    expect(taken).toBeGreaterThan(500);
    expect(stamps).toBeGreaterThan(10);
  }, 60_000);
});

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
    closing(bench);
  });
  afterEach(() => bench.remove());

  const ALL = WALL + 29 * HOUR;

  function minuteOf(ms: number, buckets = 30): Series {
    return reads.series({ channel: "coolant", from: WALL + ms, to: WALL + ms + 60_000, buckets }) as Series;
  }

  it("keeps around a run what its stamp needs, of the rest the minutes, and says how much went", () => {
    const sealed = kept(reads).length;
    expect(reads.thinnable({ beforeWall: ALL })).toEqual({
      readings: sealed,
      from: WALL,
      to: WALL + 8 * HOUR - 2000,
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
    expect(reads.thinnable({ beforeWall: ALL })).toMatchObject({ readings: 0 });
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
    for (const { min, mean, max } of buckets) {
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
    closing(bench, "once more");
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
