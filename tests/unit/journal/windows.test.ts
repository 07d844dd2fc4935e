import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Columns, readingsOf } from "../../../station/journal/columns.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { STRETCH_ROWS } from "../../../station/journal/schema.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Bucket, Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import {
  type Bench,
  blocksOf,
  channel,
  columnsOf,
  reading,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
  bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
});
afterEach(() => bench.remove());

function replay(
  fromMono: number,
  toMono: number,
  channels?: readonly string[],
  bootId = "boot-1",
): Reading[] {
  const window = { bootId, fromMono, toMono, ...(channels === undefined ? {} : { channels }) };
  return blocksOf(reads, window).flat();
}

function lastBefore(mono: number, withinMs = 7_200_000, bootId = "boot-1"): Reading[] {
  return readingsOf(reads.lastReadingsBefore({ bootId, mono, withinMs }) as Columns);
}

/** The same reduction in plain JavaScript, one reading after another. */
function reduced(readings: readonly Reading[], from: number, to: number, width: number): Bucket[] {
  const buckets: Bucket[] = [];
  for (let t = from; t < to; t += width) {
    const values = readings
      .filter(({ at, value }) => value !== null && at.wall >= t && at.wall < Math.min(t + width, to))
      .map(({ value }) => value as number);
    const none = values.length === 0;
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    buckets.push(
      none
        ? { t, min: null, mean: null, max: null }
        : { t, min: Math.min(...values), mean, max: Math.max(...values) },
    );
  }
  return buckets;
}

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
          expect(got.buckets.map(({ t, min, max }) => ({ t, min, max }))).toEqual(
            expected.map(({ t, min, max }) => ({ t, min, max })),
          );
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
        { t: WALL, min: 1, mean: 1.5, max: 2 },
        { t: WALL + 1000, min: 3, mean: 3.5, max: 4 },
      ],
    });
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

describe("a replay", () => {
  it("gives a window's readings in the order they were written, both ends included, over several stretches", () => {
    const many = Array.from({ length: 2 * STRETCH_ROWS }, (_, i) =>
      reading(i % 3 === 0 ? "room" : "coolant", i - (i % 7), i),
    );
    bench.put(many);
    const [from, to] = [1000 + 3000, 1000 + 5000];
    const inside = many.filter(({ at }) => at.mono >= from && at.mono <= to);
    expect(replay(from, to)).toEqual(inside);
    expect(replay(from, to, ["room"])).toEqual(inside.filter(({ channel: id }) => id === "room"));
    expect(replay(from, to, [])).toEqual([]);
  });

  it("keeps to one boot, over all its starts", () => {
    bench.put([reading("coolant", 1, 1)]);
    const second = createWriter(bench.db, sessionStart({ start: "start-2" }), () => 0);
    second.commit({ number: 1, readings: columnsOf([reading("coolant", 2, 2)]), action: null });
    const rebooted = createWriter(bench.db, sessionStart({ start: "start-3", bootId: "boot-2" }), () => 0);
    rebooted.commit({ number: 1, readings: columnsOf([reading("coolant", 1, 3)]), action: null });
    expect(replay(0, 10_000).map(({ value }) => value)).toEqual([1, 2]);
    expect(replay(0, 10_000, undefined, "boot-2").map(({ value }) => value)).toEqual([3]);
    expect(lastBefore(10_000).map(({ value }) => value)).toEqual([2]);
  });

  it("begins with the last reading of each channel before it", () => {
    bench.put([
      reading("coolant", 0, 1),
      reading("room", 100, 2),
      reading("lid", 150, null),
      reading("coolant", 200, 3),
    ]);
    bench.put([reading("coolant", 300, 4), reading("room", 400, 5)]);
    expect(lastBefore(1300).map(({ channel: id, value }) => [id, value])).toEqual([
      ["room", 2],
      ["lid", null],
      ["coolant", 3],
    ]);
    expect(lastBefore(1300, 120).map(({ channel: id }) => id)).toEqual(["coolant"]);
    expect(lastBefore(1000)).toEqual([]);
  });
});

describe("the last moment", () => {
  it("is that of the latest reading by monotonic time, of a boot or a session", () => {
    bench.put([reading("coolant", 500), reading("room", 400)]);
    const second = createWriter(bench.db, sessionStart({ start: "start-2" }), () => 0);
    second.commit({
      number: 1,
      readings: columnsOf([reading("coolant", 900), reading("room", 800)]),
      action: null,
    });
    expect(reads.lastReadingAt({ bootId: "boot-1" })).toEqual(reading("coolant", 900).at);
    expect(reads.lastReadingAt({ session: 1 })).toEqual(reading("coolant", 500).at);
    expect(reads.lastReadingAt({ bootId: "boot-9" })).toBeNull();
  });
});

describe("integrity", () => {
  it("finds nothing wrong with a journal that is well", () => {
    bench.put([reading("coolant", 1)]);
    expect(reads.integrity(null)).toEqual([]);
  });
});
