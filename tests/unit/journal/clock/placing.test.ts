import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createReads, type Reads } from "../../../../station/journal/reads.js";
import { createWriter } from "../../../../station/journal/writer.js";
import { type ClockState, type ClockStep, SAME_CLOCK_MS } from "../../../../station/model/instant.js";
import type { Marks } from "../../../../station/model/marks.js";
import type { Series } from "../../../../station/model/now.js";
import type { Reading } from "../../../../station/model/reading.js";
import { reduced } from "../reduced.js";
import {
  type Bench,
  blocksOf,
  channel,
  ended,
  foundIn,
  openRun,
  reading,
  seal,
  sessionStart,
  transition,
  WALL,
  writerBench,
} from "../samples.js";
import { CHANNELS, live, type Story, someEvents } from "./story.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
});
afterEach(() => bench.remove());

const whole = { fromMono: Number.MIN_SAFE_INTEGER, toMono: Number.MAX_SAFE_INTEGER };
const kept = (bootId: string) => blocksOf(reads, { bootId, ...whole }).flat();

/** Places and seals all there is, by a start of its own: as after a restart. */
function tidied(name: string): void {
  const writer = createWriter(bench.db, sessionStart({ start: `${name}-after`, bootId: "after" }), () => 0);
  while (writer.tidy());
}

function placed({ readings }: Story, bootId: string): Reading[] {
  return readings
    .filter((told) => told.bootId === bootId)
    .map(({ reading, wall }) => ({ ...reading, at: { ...reading.at, wall } }));
}

function withoutWall(readings: readonly Reading[]) {
  return readings.map(({ at, ...others }) => ({ ...others, mono: at.mono }));
}

const someFirst = fc.constantFrom<ClockState>(
  "not synchronised",
  "not synchronised",
  "unknown",
  "synchronised",
);

describe("whatever the clock does", () => {
  it("no reading is lost or out of order, and each has its true time once that is known", () => {
    let examples = 0;
    fc.assert(
      fc.property(someEvents, someFirst, (events, first) => {
        examples++;
        const name = `s${examples}`;
        const story = live(bench, events, first, name);
        for (const boot of story.boots)
          expect(withoutWall(kept(boot))).toEqual(withoutWall(placed(story, boot)));
        tidied(name);
        const now = story.boots.flatMap((boot) => {
          const readings = kept(boot);
          const due = placed(story, boot);
          expect(withoutWall(readings)).toEqual(withoutWall(due));
          // What is nearer to its true time than a clock is told apart by may stay where it is.
          for (const [i, { at }] of readings.entries()) {
            expect(Math.abs(at.wall - (due[i]?.at.wall as number))).toBeLessThanOrEqual(SAME_CLOCK_MS);
          }
          return readings;
        });
        const cleanings = bench.db.prepare("SELECT wall FROM maintenance WHERE kind = ? ORDER BY id").pluck();
        expect(cleanings.all(name)).toEqual(story.maintenance.map(({ wall }) => wall));
        expect(foundIn(bench.db)).toEqual([]);
        expectCharts(name, now);
      }),
      { numRuns: 50 },
    );
    const moved = bench.db.prepare("SELECT count(*) FROM sealed WHERE revision > 0").pluck().get() as number;
    expect(moved).toBeGreaterThan(0);
  });

  /** The chart of all there is, which is drawn from rollups, and that of one hour, which is not. */
  function expectCharts(name: string, readings: readonly Reading[]): void {
    const id = `${name}-${CHANNELS[0]}`;
    const all = readings.filter(({ channel }) => channel === id);
    if (all.length === 0) return;
    const walls = all.map(({ at }) => at.wall);
    const [first, last] = [Math.min(...walls), Math.max(...walls)];
    for (const [from, to] of [
      [first, last + 1],
      [last - 3_000_000, last + 1],
    ] as const) {
      const series = reads.series({ channel: id, from, to, buckets: 50 }) as Series;
      const width =
        series.buckets.length > 1 ? (series.buckets[1]?.t as number) - series.from : series.to - series.from;
      const expected = reduced(all, series.from, series.to, width);
      expect(series.buckets.map(({ min, max }) => [min, max])).toEqual(
        expected.map(({ min, max }) => [min, max]),
      );
      for (const [i, { mean }] of series.buckets.entries()) {
        if (mean !== null) expect(mean).toBeCloseTo(expected[i]?.mean as number, 9);
      }
    }
  }
});

/** Six hours before the clock is set, most of them sealed, as the boot "boot-1" of a clock that was wrong. */
const HOUR = 3_600_000;
const WRONG = 1_000_000;
const TRUE = WALL + 30_000;

describe("six hours before the clock was set", () => {
  const mono = (i: number) => 5000 + i * 5000;
  const all = Array.from(
    { length: (6 * HOUR) / 5000 },
    (_, i): Reading => ({
      ...reading(i % 3 === 0 ? "room" : "coolant", 0, i % 50 === 7 ? null : 18 + (i % 16) / 16),
      at: { wall: mono(i) + WRONG, mono: mono(i) },
    }),
  );
  const atStart = { wall: WRONG + 1000, mono: 1000 };
  const setAt = mono(all.length);
  const step: ClockStep = {
    at: { wall: setAt + TRUE, mono: setAt },
    shiftMs: TRUE - WRONG,
    before: "not synchronised",
    after: "synchronised",
  };
  const right = all.map((each) => ({ ...each, at: { mono: each.at.mono, wall: each.at.mono + TRUE } }));
  const run = openRun("r1", {
    startWall: mono(100) + WRONG,
    startMono: mono(100),
    clockAtStart: "not synchronised",
  });
  const closed = ended(run, { startWall: run.startWall, startMono: run.startMono });

  beforeEach(() => {
    bench.remove();
    bench = writerBench(sessionStart({ at: atStart, clock: "not synchronised" }));
    reads = createReads(bench.db);
    bench.put([], { name: "channelsDefined", params: ["coolant", "room"].map((id) => channel(id)) });
    bench.put([], { name: "runBegun", params: run });
    for (let i = 0; i < all.length; i += 200) bench.put(all.slice(i, i + 200));
    const end = { endWall: mono(112) + WRONG, endMono: mono(112) };
    bench.put([], { name: "runEnded", params: { ...closed, ...end } });
    bench.put([], {
      name: "alarmTransition",
      params: transition("a", { wall: mono(9) + WRONG, mono: mono(9) }),
    });
    seal(bench.db);
  });

  const counts = () =>
    ["sealed", "stretch", "rollup_page"].map(
      (table) => bench.db.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number,
    );
  const stepped = () => bench.put([], { name: "clockStepped", params: step });

  it("are placed in rows and in blocks, with their rollups, however often it is cut off", () => {
    expect(Math.min(...counts())).toBeGreaterThan(1);
    stepped();
    let steps = 0;
    for (let more = true; more; ) {
      // Each step by a writer of its own, as though the power had gone after every one.
      more = createWriter(bench.db, sessionStart(), () => 0).tidy();
      expect(withoutWall(kept("boot-1"))).toEqual(withoutWall(right));
      expect(foundIn(bench.db)).toEqual([]);
      steps++;
    }
    expect(steps).toBeGreaterThan(10);
    expect(kept("boot-1")).toEqual(right);
    expect(reads.span(null)).toEqual({ from: mono(0) + TRUE, to: mono(all.length - 1) + TRUE });
    expect(reads.series({ channel: "coolant", from: 0, to: 10 * HOUR, buckets: 20 })).toMatchObject({
      buckets: expect.not.arrayContaining([expect.objectContaining({ max: expect.any(Number) })]),
    });
  });

  it("stay as they are where a step fails in its middle, and are placed by the next", () => {
    stepped();
    for (const [table, when] of [
      ["reading", "UPDATE OF wall ON reading"],
      ["block", "UPDATE OF data ON block"],
      ["page", "INSERT ON rollup_page"],
    ]) {
      bench.db.exec(`CREATE TRIGGER no_${table} BEFORE ${when} BEGIN SELECT RAISE(ABORT, 'no'); END`);
      const before = kept("boot-1");
      expect(() => {
        while (bench.writer.tidy());
      }).toThrow(/no/);
      expect(withoutWall(kept("boot-1"))).toEqual(withoutWall(before));
      expect(foundIn(bench.db)).toEqual([]);
      bench.db.exec(`DROP TRIGGER no_${table}`);
    }
    while (bench.writer.tidy());
    expect(kept("boot-1")).toEqual(right);
    expect(foundIn(bench.db)).toEqual([]);
  });

  it("that are damaged stay where they are, and get no minutes that say they are sound", () => {
    bench.db.exec(
      "DROP TRIGGER reading_updated; UPDATE reading SET value = 99 WHERE id = (SELECT max(id) FROM reading)",
    );
    stepped();
    while (bench.writer.tidy());
    expect(bench.db.prepare("SELECT max(max) FROM live_minute").pluck().get()).toBeLessThan(99);
    expect(bench.db.prepare("SELECT count(*) FROM placed_span WHERE done = 0").pluck().get()).toBe(0);
  });

  it("give their runs the true times beside those of the stamp, and alarms and marks the true ones alone", () => {
    stepped();
    const times = { startWall: mono(100) + TRUE, endWall: mono(112) + TRUE };
    expect(reads.run("r1")).toMatchObject({
      startWall: mono(100) + WRONG,
      placed: times,
      stamp: closed.stamp,
    });
    expect(reads.runs({ limit: 1 })).toMatchObject({
      runs: [{ placed: times, clockAtStart: "not synchronised" }],
    });
    const { runs, alarms, clock } = reads.marks({ from: TRUE, to: TRUE + 10 * HOUR, limit: 10 }) as Marks;
    expect(runs).toMatchObject([times]);
    expect(alarms).toMatchObject([{ wall: mono(9) + TRUE }]);
    expect(clock).toEqual([{ id: 1, wall: step.at.wall, shiftMs: step.shiftMs, placed: true }]);
    expect(reads.marks({ from: 0, to: TRUE, limit: 10 })).toMatchObject({ runs: [], alarms: [], clock: [] });
  });

  it("are kept once where the step is told twice, and what comes late is placed as it comes", () => {
    stepped();
    stepped();
    expect(bench.db.prepare("SELECT count(*) FROM clock_step").pluck().get()).toBe(1);
    while (bench.writer.tidy());
    const late = { ...reading("coolant", 0), at: { wall: setAt - 400 + WRONG, mono: setAt - 400 } };
    const after = { ...reading("coolant", 0), at: { wall: setAt + 400 + TRUE, mono: setAt + 400 } };
    bench.put([late, after]);
    const lateRight = { ...late, at: { wall: setAt - 400 + TRUE, mono: setAt - 400 } };
    expect(kept("boot-1")).toEqual([...right, lateRight, after]);
    expect(reads.span(null)).toEqual({ from: mono(0) + TRUE, to: after.at.wall });
    expect(foundIn(bench.db)).toEqual([]);
  });

  it("leave a block that is damaged where it is, and all else comes out right", () => {
    bench.db.exec("UPDATE block SET data = zeroblob(50) WHERE id = 2");
    const { sealed } = bench.db.prepare("SELECT sealed FROM block WHERE id = 2").get() as { sealed: number };
    stepped();
    while (bench.writer.tidy());
    const damaged = foundIn(bench.db);
    expect(damaged).toEqual([expect.stringMatching(/readings of coolant from 1970-01-01/)]);
    const last = right.filter(({ channel: id }) => id === "coolant").at(-1) as Reading;
    expect(
      blocksOf(reads, { bootId: "boot-1", ...whole, fromMono: last.at.mono })
        .flat()
        .at(0),
    ).toEqual(right.find(({ at }) => at.mono >= last.at.mono));
    expect(sealed).toBe(1);
  });

  it("are placed by the start of the station after the one they belong to, in the same boot", () => {
    const at = { wall: setAt + TRUE, mono: setAt };
    const again = createWriter(bench.db, sessionStart({ start: "start-2", at }), () => 0);
    while (again.tidy());
    expect(kept("boot-1")).toEqual(right);
    const { clock } = reads.marks({ from: 0, to: 2 * TRUE, limit: 10 }) as Marks;
    expect(clock).toEqual([{ id: 1, wall: at.wall, shiftMs: TRUE - WRONG, placed: true }]);
  });

  it("stay where the clock said where it is never set, in that boot", () => {
    const at = { wall: WALL, mono: 1000 };
    const other = createWriter(bench.db, sessionStart({ start: "start-2", bootId: "boot-2", at }), () => 0);
    while (other.tidy());
    expect(kept("boot-1")).toEqual(all);
    expect(reads.run("r1")).toMatchObject({ placed: null, clockAtStart: "not synchronised" });
  });
});
