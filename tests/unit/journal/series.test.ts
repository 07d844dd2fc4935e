import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Bucket, Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import { reduced } from "./reduced.js";
import { type Bench, channel, columnsOf, reading, seal, sessionStart, WALL, writerBench } from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
  bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
});
afterEach(() => bench.remove());

describe("a series", () => {
  it("agrees with the same reduction done one reading at a time, for any window and number of buckets", () => {
    const someReadings = fc.array(
      fc.record({
        channel: fc.constantFrom("coolant", "room"),
        ms: fc.integer({ min: 0, max: 5000 }),
        // Without -0, which SQLite keeps as 0.
        value: fc.option(
          fc.double({ min: -40, max: 100, noNaN: true }).map((n) => (n === 0 ? 0 : n)),
          { nil: null },
        ),
      }),
      { maxLength: 60 },
    );
    // All in one journal, with channels of its own for each: a file for each would mostly test the disk.
    let examples = 0;
    fc.assert(
      fc.property(
        someReadings,
        fc.integer({ min: -500, max: 5000 }),
        fc.integer({ min: 1, max: 6000 }),
        fc.integer({ min: 1, max: 2000 }),
        (some, start, span, wanted) => {
          examples++;
          const names = { coolant: `coolant-${examples}`, room: `room-${examples}` };
          const readings = some.map(({ channel: id, ms, value }) => reading(names[id], ms, value));
          bench.put([], { name: "channelsDefined", params: [channel(names.coolant)] });
          bench.put(readings.slice(0, 20));
          bench.put(readings.slice(20));
          const [from, to] = [WALL + start, WALL + start + span];
          const got = reads.series({ channel: names.coolant, from, to, buckets: wanted }) as Series;
          const width = Math.ceil(span / wanted);
          const coolant = readings.filter(({ channel: id }) => id === names.coolant);
          const expected = reduced(coolant, from, to, width);
          expect(got.buckets.length).toBeLessThanOrEqual(wanted);
          // The sums' roundings differ with the order of adding.
          const exact = ({ mean: _, ...rest }: Bucket) => rest;
          expect(got.buckets.map(exact)).toEqual(expected.map(exact));
          got.buckets.forEach(({ mean }, i) => {
            const other = expected[i]?.mean ?? null;
            if (mean === null || other === null) expect(mean).toBe(other);
            else expect(mean).toBeCloseTo(other, 9);
          });
        },
      ),
      { numRuns: 60 },
    );
  });

  it("puts a reading into the bucket it falls in, not into one between two", () => {
    bench.put([
      reading("coolant", 0, 1),
      reading("coolant", 999, 2),
      reading("coolant", 1000, 3),
      reading("coolant", 1500, 4),
    ]);
    const series = reads.series({ channel: "coolant", from: WALL, to: WALL + 2000, buckets: 2 });
    expect(series).toEqual({
      channel: "coolant",
      unit: "Cel",
      from: WALL,
      to: WALL + 2000,
      buckets: [
        { t: WALL, min: 1, mean: 1.5, max: 2, count: 2, bad: 0 },
        { t: WALL + 1000, min: 3, mean: 3.5, max: 4, count: 2, bad: 0 },
      ],
    });
  });

  it("counts what was bad, where a bucket has other readings and where it has none, at every width and once sealed", () => {
    const HOUR = 3_600_000;
    // Good, good, bad, doubtful in turn; the third hour is bad throughout, and the sixth is too new to be sealed.
    const readings = Array.from({ length: 6 * 60 }, (_, minute): Reading => {
      const lost = minute % 4 === 2 || Math.floor(minute / 60) === 2;
      const one = reading("coolant", minute * 60_000, lost ? null : minute);
      return lost || minute % 4 !== 3 ? one : { ...one, quality: "uncertain", reason: "sudden-jump" };
    });
    for (let from = 0; from < readings.length; from += 30) bench.put(readings.slice(from, from + 30));
    const window = { from: WALL, to: WALL + 6 * HOUR };
    // Twenty seconds: of the readings themselves; a minute, a quarter and two hours: of rollups.
    const widths = [1080, 360, 24, 2];
    const ask = () => {
      for (const buckets of widths) {
        const { from, to, buckets: got } = reads.series({ channel: "coolant", ...window, buckets }) as Series;
        expect(got).toEqual(reduced(readings, from, to, (got[1]?.t as number) - from));
        expect(got.reduce((sum, { bad = 0 }) => sum + bad, 0)).toBe(75 + 60);
      }
      const [first] = readings;
      const mono = { bootId: "boot-1", fromMono: first?.at.mono as number, toMono: 1000 + 6 * HOUR };
      const ofRun = reads.runSeries({ channel: "coolant", ...mono, startWall: WALL, buckets: 24 }) as Series;
      expect(ofRun.buckets).toEqual(reduced(readings, window.from, window.to, HOUR / 4));
    };
    ask();
    seal(bench.db);
    expect(bench.db.prepare("SELECT count(*) FROM block").pluck().get()).toBe(3);
    ask();
  });

  it("agrees with the plain reduction of any good, doubtful and bad readings of hours, as rows and sealed", () => {
    const some = fc.array(
      fc.record({
        further: fc.integer({ min: 1, max: 40 * 60_000 }),
        quality: fc.constantFrom("good", "uncertain", "bad"),
        value: fc.integer({ min: -200, max: 900 }).map((k) => k / 16),
      }),
      { minLength: 1, maxLength: 60 },
    );
    let examples = 0;
    fc.assert(
      fc.property(some, fc.integer({ min: 1, max: 2000 }), (steps, wanted) => {
        examples++;
        const id = `any-${examples}`;
        bench.put([], { name: "channelsDefined", params: [channel(id)] });
        let ms = examples * 10 * 86_400_000;
        const readings = steps.map(({ further, quality, value }): Reading => {
          ms += further;
          const one = reading(id, ms, quality === "bad" ? null : value);
          return quality === "uncertain" ? { ...one, quality, reason: "sudden-jump" } : one;
        });
        for (const one of readings) bench.put([one]);
        const span = { from: readings[0]?.at.wall as number, to: (readings.at(-1)?.at.wall as number) + 1 };
        for (const sealed of [false, true]) {
          if (sealed) seal(bench.db);
          const got = reads.series({ channel: id, ...span, buckets: wanted }) as Series;
          const width = got.buckets.length > 1 ? (got.buckets[1]?.t as number) - got.from : got.to - got.from;
          // Sixteenths add up exactly in any order.
          expect(got.buckets).toEqual(reduced(readings, got.from, got.to, width));
        }
      }),
      { numRuns: 40 },
    );
  });

  it("finds a reading whose clock had jumped, in a stretch with others of years later", () => {
    const early = { ...reading("coolant", 0, 7), at: { wall: 5000, mono: 1000 } };
    bench.put([early, reading("coolant", 10, 20)]);
    const series = reads.series({ channel: "coolant", from: 0, to: 10_000, buckets: 1 });
    expect(series).toMatchObject({ buckets: [{ min: 7, mean: 7, max: 7 }] });
  });

  it("is refused for a channel nobody knows, a window that is none and too many buckets", () => {
    const good = { channel: "coolant", from: WALL, to: WALL + 1000, buckets: 10 };
    expect(() => reads.series({ ...good, channel: "attic" })).toThrow(/no channel/);
    expect(() => reads.series({ ...good, to: WALL })).toThrow(/ends after/);
    expect(() => reads.series({ ...good, to: Number.NaN })).toThrow(/ends after/);
    for (const buckets of [0, 2001, Number.NaN])
      expect(() => reads.series({ ...good, buckets })).toThrow(/1 to 2000/);
  });
});

describe("a series of a run", () => {
  const run = {
    channel: "coolant",
    bootId: "boot-1",
    fromMono: 1000,
    toMono: 5000,
    startWall: WALL,
    buckets: 4,
  };

  it("goes by the monotonic clock, whatever was done to the wall clock meanwhile", () => {
    const set = [0, 3_600_000, -7_200_000, 86_400_000];
    bench.put(
      set.flatMap((by, i) =>
        [10 * i, 10 * i + 2].map((value, j) => {
          const one = reading("coolant", 1000 * i + 100 * j, value);
          return { ...one, at: { wall: one.at.wall + by, mono: one.at.mono } };
        }),
      ),
    );
    expect(reads.runSeries(run)).toEqual({
      channel: "coolant",
      unit: "Cel",
      from: WALL,
      to: WALL + 4000,
      buckets: set.map((_, i) => ({
        t: WALL + 1000 * i,
        min: 10 * i,
        mean: 10 * i + 1,
        max: 10 * i + 2,
        count: 2,
        bad: 0,
      })),
    });
  });

  it("is the ordinary one where nobody set the wall clock, for any window", () => {
    bench.put(Array.from({ length: 600 }, (_, i) => reading(i % 2 === 0 ? "coolant" : "room", i * 7, i)));
    fc.assert(
      fc.property(
        fc.integer({ min: -500, max: 4000 }),
        fc.integer({ min: 1, max: 5000 }),
        fc.integer({ min: 1, max: 300 }),
        (start, span, buckets) => {
          const wall = { from: WALL + start, to: WALL + start + span };
          const mono = { fromMono: 1000 + start, toMono: 1000 + start + span, startWall: wall.from };
          expect(reads.runSeries({ ...run, ...mono, buckets })).toEqual(
            reads.series({ channel: "coolant", ...wall, buckets }),
          );
        },
      ),
      { numRuns: 60 },
    );
  });

  it("keeps to its boot: another one had the same monotonic times", () => {
    bench.put([reading("coolant", 100, 1)]);
    const rebooted = createWriter(bench.db, sessionStart({ start: "start-2", bootId: "boot-2" }), () => 0);
    rebooted.commit({ number: 1, readings: columnsOf([reading("coolant", 200, 9)]), action: null });
    expect(reads.runSeries({ ...run, buckets: 1 })).toMatchObject({ buckets: [{ min: 1, max: 1 }] });
    expect(reads.runSeries({ ...run, buckets: 1, bootId: "boot-2" })).toMatchObject({
      buckets: [{ min: 9, max: 9 }],
    });
  });

  it("is refused as the ordinary one is", () => {
    expect(() => reads.runSeries({ ...run, channel: "attic" })).toThrow(/no channel/);
    expect(() => reads.runSeries({ ...run, toMono: run.fromMono })).toThrow(/ends after/);
    expect(() => reads.runSeries({ ...run, buckets: 2001 })).toThrow(/1 to 2000/);
  });
});
