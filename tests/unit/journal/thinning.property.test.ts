import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createReads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Reading } from "../../../station/model/reading.js";
import type { Run } from "../../../station/model/run.js";
import { STAMP_REACH } from "../../../station/retention.js";
import { restamp } from "../../../station/trials/recover.js";
import {
  type Bench,
  blocksOf,
  columnsOf,
  ended,
  foundIn,
  openRun,
  reading,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";
import { CHANNELS, closing, HOUR, kept, RULES, removed, replayOf, thin } from "./thinned.js";

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
  closing(bench, wall - WALL + 1);
  const walls = all.map(({ at }) => at.wall);
  return { all, runs, first: Math.min(...walls), last: Math.max(...walls) };
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
    expect(taken).toBeGreaterThan(30);
    expect(stamps).toBeGreaterThan(3);
  });
});
