import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openForReading } from "../../../station/journal/database.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { emptyRollup, type Rollup, rollupsOf, takeReading } from "../../../station/journal/rollup.js";
import { decodeMinutes, encodeMinutes, encodePage, pageName } from "../../../station/journal/rollup-codec.js";
import { pageRollups } from "../../../station/journal/rollup-pages.js";
import type { Series } from "../../../station/model/now.js";
import { reduced } from "./reduced.js";
import { type Bench, blocksOf, channel, foundIn, reading, seal, WALL, writerBench } from "./samples.js";

const HOUR = 3_600_000;
const NAME = { channel: 2, first: 77 };

const onGrid = fc.integer({ min: -400, max: 900 }).map((k) => k / 10);
const anyValues = fc.oneof(
  fc.array(fc.oneof(onGrid, fc.constant(Number.NaN)), { maxLength: 70 }),
  fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { maxLength: 70 }),
);

function rollupOf(place: number, values: readonly number[]): Rollup {
  const rollup = emptyRollup(place);
  for (const value of values) takeReading(rollup, value, Number.isNaN(value));
  return rollup;
}

/** Everything exactly but the sum, whose roundings differ with the order of adding. */
function expectSame(given: readonly Rollup[], expected: readonly Rollup[]): void {
  const rest = (rollups: readonly Rollup[]) => rollups.map(({ sum: _, ...others }) => others);
  expect(rest(given)).toEqual(rest(expected));
  for (const [i, { sum, count }] of given.entries()) {
    const slack = 1e-9 * Math.max(1, count * 1e3);
    expect(Math.abs(sum - (expected[i]?.sum as number))).toBeLessThan(slack);
  }
}

describe("stored rollups", () => {
  it("of a block's minutes read back, with values on a grid or not, or none", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.integer({ min: 1, max: 90 }), anyValues)), (some) => {
        let place = 29_000_000;
        const minutes = some.map(([further, values]) => {
          place += further;
          return rollupOf(place, values);
        });
        expectSame(rollupsOf(decodeMinutes(NAME, encodeMinutes(NAME, minutes, 0.1))), minutes);
      }),
      { numRuns: 200 },
    );
  });

  it("of a page read back, and those of another width are not taken for them", () => {
    const name = pageName(3, 900_000, 5);
    const rollups = [rollupOf(600, [1, 2.5]), rollupOf(601, [Number.NaN]), rollupOf(719, [-7])];
    const page = encodePage(name, rollups);
    expect(pageRollups(name, page)).toEqual(rollups);
    expect(() => pageRollups(pageName(3, 7_200_000, 5), page)).toThrow(/checksum/);
  });
});

describe("rollups in a journal", () => {
  let bench: Bench;
  let reads: Reads;
  beforeEach(() => {
    bench = writerBench();
    reads = createReads(bench.db);
    bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
    for (let hour = 0; hour < 6; hour++) {
      bench.put(
        Array.from({ length: 720 }, (_, i) =>
          reading(i % 3 === 0 ? "room" : "coolant", hour * HOUR + i * 5000, i % 40 === 3 ? null : i / 16),
        ),
      );
    }
    seal(bench.db);
  });
  afterEach(() => bench.remove());

  function day(): Series {
    return reads.series({ channel: "coolant", from: WALL, to: WALL + 6 * HOUR, buckets: 24 }) as Series;
  }

  it("are as the readings say, in rows and in blocks", () => {
    expect(bench.db.prepare("SELECT count(*) > 0 FROM live_minute").pluck().get()).toBe(1);
    expect(bench.db.prepare("SELECT count(*) > 0 FROM block_minutes").pluck().get()).toBe(1);
    expect(foundIn(bench.db)).toEqual([]);
  });

  it("of the newest minutes are drawn by another connection too, as soon as they are written, and gone once damaged", () => {
    const other = openForReading(bench.folder);
    try {
      const asked = { channel: "coolant", from: WALL, to: WALL + 8 * HOUR, buckets: 24 };
      const readsOfOther = createReads(other);
      const counted = () =>
        (readsOfOther.series(asked) as Series).buckets.reduce((sum, { count = 0 }) => sum + count, 0);
      const before = counted();
      bench.put([reading("coolant", 6 * HOUR), reading("coolant", 6 * HOUR + 1000)]);
      expect(counted()).toBe(before + 2);
      bench.db.exec("DROP TRIGGER live_minute_updated; UPDATE live_minute SET count = count + 1");
      expect(counted).toThrow(/newest minutes are damaged/);
    } finally {
      other.close();
    }
  });

  it.each([
    ["UPDATE live_minute SET count = count + 1", /newest minutes/],
    ["DELETE FROM live_minute WHERE channel = 1", /newest minutes/],
    [
      "INSERT INTO live_minute SELECT 99999999, minute, channel, 1, 1, 1, 1, 0, NULL FROM live_minute LIMIT 1",
      /not there/,
    ],
    ["UPDATE block_minutes SET data = substr(data, 1, 20) WHERE block = 1", /minutes of room/],
    ["DELETE FROM block_minutes WHERE block = 2", /minutes of coolant/],
    ["DELETE FROM rollup_page WHERE width = 900000", /rollups over 15 min of coolant/],
    ["UPDATE rollup_page SET page = page + 700", /rollups over 1440 min of coolant/],
    [
      "UPDATE rollup_page SET data = (SELECT data FROM rollup_page WHERE id = 1) WHERE id = 2",
      /over 120 min/,
    ],
  ])("that are wrong are found, and made anew from the readings: %s", (spoil, words) => {
    const before = day();
    bench.db.pragma("foreign_keys = OFF");
    bench.db.exec(spoil);
    expect(`${foundIn(bench.db)}`).toMatch(words);
    foundIn(bench.db, true);
    expect(foundIn(bench.db)).toEqual([]);
    expect(day()).toEqual(before);
  });

  it("of a damaged block stay when the others are made anew, and are shown", () => {
    const before = day();
    bench.db.exec("UPDATE block SET data = zeroblob(50) WHERE id = 2; DELETE FROM rollup_page");
    foundIn(bench.db, true);
    expect(day()).toEqual(before);
    expect(foundIn(bench.db)).toEqual([
      expect.stringMatching(/readings of coolant from 2026-05-04T09.*still show its minutes/),
    ]);
  });

  it("of a block that is lost with its minutes stay in the wider ones, where those can be read", () => {
    const before = day();
    bench.db.exec(
      "UPDATE block SET data = zeroblob(50) WHERE id = 2; DELETE FROM block_minutes WHERE block = 2",
    );
    foundIn(bench.db, true);
    expect(day()).toEqual(before);
    expect(foundIn(bench.db)).toEqual([expect.stringMatching(/cannot be read either/)]);
  });

  it.each([
    ["is gone", "DELETE FROM block WHERE id = 2", /1 of 2 blocks of readings from 2026-05-04T09/],
    [
      "is gone with its minutes",
      "DELETE FROM block WHERE id = 2; DELETE FROM block_minutes WHERE block = 2",
      /1 of 2 blocks/,
    ],
    [
      "is said to be of another time",
      "UPDATE block SET min_wall = min_wall + 1e9, max_wall = max_wall + 1e9 WHERE id = 2",
      /readings of coolant from 2026-05-15/,
    ],
    [
      "is said to be of a channel that nobody knows",
      "UPDATE block SET channel = 99 WHERE id = 2",
      /an unknown channel/,
    ],
  ])("of a block that %s stay in the wider ones, and it is said", (_, spoil, words) => {
    const before = day();
    bench.db.pragma("foreign_keys = OFF");
    bench.db.exec(spoil);
    expect(`${foundIn(bench.db)}`).toMatch(words);
    foundIn(bench.db, true);
    expect(day()).toEqual(before);
    expect(`${foundIn(bench.db)}`).toMatch(words);
  });

  it("of a group all of whose blocks are gone: its readings are not given as though there had been none", () => {
    bench.db.pragma("foreign_keys = OFF");
    bench.db.exec("DELETE FROM block WHERE sealed = (SELECT min(first_id) FROM sealed)");
    const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
    expect(() => blocksOf(reads, window)).toThrow(/Blocks of readings are missing/);
  });

  it("that cannot be read are made anew where more is sealed: it does not stand still for them", () => {
    const before = day();
    bench.db.exec("UPDATE rollup_page SET data = zeroblob(9)");
    bench.put([reading("coolant", 7 * HOUR), reading("room", 7 * HOUR)]);
    bench.put([reading("coolant", 20 * HOUR), reading("room", 20 * HOUR)]);
    const sealed = () => bench.db.prepare("SELECT max(last_id) FROM sealed").pluck().get() as number;
    const sealedBefore = sealed();
    seal(bench.db);
    expect(sealed()).toBeGreaterThan(sealedBefore);
    // Whatever was written to is right again; the rest waits for the repair.
    expect(foundIn(bench.db).filter((words) => !words.includes("over 15 min"))).toEqual([]);
    foundIn(bench.db, true);
    expect(foundIn(bench.db)).toEqual([]);
    expect(day()).toEqual(before);
  });

  it("are drawn from many stretches of rows as from a few", () => {
    const later = 100 * HOUR;
    const rows = Array.from({ length: 140 }, (_, hour) =>
      Array.from({ length: 3 }, (_none, i) => reading("coolant", later + hour * HOUR + i * 60_000, hour + i)),
    );
    for (const each of rows) bench.put(each);
    expect(bench.db.prepare("SELECT count(*) FROM stretch").pluck().get()).toBeGreaterThan(64);
    for (const [first, hours] of [
      [0, 140],
      [13, 9],
    ] as const) {
      const from = WALL + later + first * HOUR;
      const asked = { channel: "coolant", from, to: from + hours * HOUR, buckets: hours * 4 };
      const series = reads.series(asked) as Series;
      expect(series.buckets).toEqual(reduced(rows.flat(), series.from, series.to, HOUR / 4));
    }
  });

  it("that are damaged are said to be, and not drawn", () => {
    bench.db.exec("UPDATE rollup_page SET data = zeroblob(length(data))");
    expect(() => day()).toThrow(/charts of coolant are drawn from is damaged.*verify --repair/);
  });
});
