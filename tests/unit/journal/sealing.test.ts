import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { STRETCH_ROWS } from "../../../station/journal/schema.js";
import { createSealer } from "../../../station/journal/sealing.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Reading } from "../../../station/model/reading.js";
import {
  type Bench,
  blocksOf,
  channel,
  columnsOf,
  foundIn,
  reading,
  seal,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";

const HOUR = 3_600_000;
const CHANNELS = ["coolant", "room", "lid"];

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
  bench.put([], { name: "channelsDefined", params: CHANNELS.map((id) => channel(id)) });
});
afterEach(() => bench.remove());

function count(table: string): number {
  return bench.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number;
}

function kept(bootId = "boot-1"): Reading[] {
  return blocksOf(reads, {
    bootId,
    fromMono: Number.MIN_SAFE_INTEGER,
    toMono: Number.MAX_SAFE_INTEGER,
  }).flat();
}

/** In turn of three channels, `every` milliseconds between them. */
function turns(readings: number, every: number, from = 0): Reading[] {
  return Array.from({ length: readings }, (_, i) =>
    reading(CHANNELS[i % 3] as string, from + i * every, i % 50 === 7 ? null : 18 + (i % 9) / 16),
  );
}

/** The number of readings that are rows, and of those that blocks say they hold. */
function places(): [number, number] {
  const sealed = bench.db.prepare("SELECT coalesce(sum(readings), 0) FROM block").pluck().get();
  return [count("reading"), sealed as number];
}

describe("sealing", () => {
  it("takes readings older than an hour out of the rows, and keeps each once, in its order", () => {
    const all = turns(9 * STRETCH_ROWS, 300);
    for (let i = 0; i < all.length; i += 1000) bench.put(all.slice(i, i + 1000));
    seal(bench.db);
    const [rows, sealed] = places();
    expect(rows + sealed).toBe(all.length);
    // Three hours in stretches of twenty minutes: the last hour stays, and what does not make up an hour with it.
    expect(rows).toBeGreaterThanOrEqual(HOUR / 300);
    expect(sealed).toBeGreaterThanOrEqual(HOUR / 300);
    expect(kept()).toEqual(all);
    expect([count("live_minute") > 0, count("stretch")]).toEqual([true, Math.ceil(rows / STRETCH_ROWS)]);
    expect(bench.db.pragma("foreign_key_check")).toEqual([]);
    expect([...(reads.integrity(null) as string[]), ...foundIn(bench.db)]).toEqual([]);
  });

  it("leaves the newest stretch, whose rows say which id is the next, and goes on from there", () => {
    bench.put(turns(100, 1000));
    const rebooted = createWriter(bench.db, sessionStart({ start: "start-2", bootId: "boot-2" }), () => 0);
    seal(bench.db);
    expect(places()).toEqual([100, 0]);
    rebooted.commit({ number: 1, readings: columnsOf(turns(5, 1000)), action: null });
    seal(bench.db);
    expect(places()).toEqual([5, 100]);
    rebooted.commit({ number: 2, readings: columnsOf(turns(5, 1000, 5000)), action: null });
    expect(kept("boot-2")).toEqual([...turns(5, 1000), ...turns(5, 1000, 5000)]);
    expect(kept()).toEqual(turns(100, 1000));
  });

  it("writes nothing before its last step, which does it all", () => {
    const all = turns(6 * STRETCH_ROWS, 400);
    bench.put(all);
    bench.put(turns(3, 1000, 20 * HOUR));
    const sealer = createSealer(bench.db);
    const before = places();
    while (count("sealed") === 0) {
      expect(places()).toEqual(before);
      expect(sealer.step()).toBe(true);
    }
    expect(places()[1]).toBeGreaterThan(0);
    expect(places()[0] + places()[1]).toBe(all.length + 3);
  });

  it("that fails in the middle of its transaction leaves everything as it was, and is done the next time", () => {
    const all = turns(3 * STRETCH_ROWS, 400);
    bench.put(all);
    bench.put(turns(3, 1000, 20 * HOUR));
    bench.db.exec("CREATE TRIGGER no BEFORE DELETE ON stretch BEGIN SELECT RAISE(ABORT, 'no'); END");
    const before = places();
    expect(() => seal(bench.db)).toThrow(/no/);
    expect([...places(), count("sealed"), count("rollup_page")]).toEqual([...before, 0, 0]);
    bench.db.exec("DROP TRIGGER no");
    seal(bench.db);
    expect(places()[0]).toBe(3);
    expect(kept()).toEqual([...all, ...turns(3, 1000, 20 * HOUR)]);
  });

  it("finds a damaged block, says so in words, and shows none of it", () => {
    bench.put(turns(3700, 1000));
    bench.put(turns(3, 1000, 20 * HOUR));
    seal(bench.db);
    const whole = bench.db.prepare("SELECT data FROM block WHERE id = 2").pluck().get() as Buffer;
    const torn = Buffer.from(whole);
    torn[40] = (torn[40] as number) ^ 1;
    bench.db.prepare("UPDATE block SET data = ? WHERE id = 2").run(torn);
    const ask = { from: WALL, to: WALL + HOUR, buckets: 1000 };
    expect(() => reads.series({ ...ask, channel: "room" })).toThrow(
      /readings of room from 2026-05-04T09.*damaged/,
    );
    expect(() => kept()).toThrow(/damaged/);
    expect(reads.series({ ...ask, channel: "coolant" })).toMatchObject({ channel: "coolant" });
    expect(foundIn(bench.db)).toEqual([expect.stringMatching(/readings of room from 2026-05-04T09/)]);
  });
});
