import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { JournalSpan, Marks } from "../../../station/model/marks.js";
import {
  type Bench,
  channel,
  ended,
  openRun,
  reading,
  seal,
  sessionStart,
  transition,
  WALL,
  writerBench,
} from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
});
afterEach(() => bench.remove());

const marks = (from: number, to: number, limit = 100) => reads.marks({ from, to, limit }) as Marks;

/** A run that lasts the minute after `WALL`, as every one of the samples does. */
function keepRun(id: string, changes: Parameters<typeof openRun>[1] = {}): void {
  const run = openRun(id, changes);
  bench.put([], { name: "runBegun", params: run });
  bench.put([], { name: "runEnded", params: ended(run) });
}

describe("the marks of a window", () => {
  it("has every run that overlaps it, an open one to no end, and none that only touches it from before", () => {
    keepRun("one");
    bench.put([], { name: "runBegun", params: openRun("two", { startWall: WALL + 90_000 }) });
    const ids = (from: number, to: number) => marks(from, to).runs.map(({ id }) => id);
    expect(ids(WALL - 1000, WALL)).toEqual([]);
    expect(ids(WALL - 1000, WALL + 1)).toEqual(["one"]);
    expect(ids(WALL + 30_000, WALL + 31_000)).toEqual(["one"]);
    expect(ids(WALL + 61_000, WALL + 62_000)).toEqual([]);
    expect(ids(WALL, WALL + 100_000)).toEqual(["two", "one"]);
    expect(ids(WALL + 10 ** 9, WALL + 2 * 10 ** 9)).toEqual(["two"]);
    expect(marks(WALL, WALL + 1).runs[0]).toEqual({
      id: "one",
      number: 1,
      startWall: WALL,
      endWall: WALL + 60_000,
      material: "birch plywood 3 mm",
      flagged: false,
    });
  });

  it("has a run of days, one that the clock was set back in, and the order of the wall clock", () => {
    const days = 86_400_000;
    const run = (id: string, startWall: number, endWall: number) => {
      const open = openRun(id, { startWall });
      bench.put([], { name: "runBegun", params: open });
      bench.put([], { name: "runEnded", params: { ...ended(open), endWall } });
    };
    run("days", WALL - 5 * days, WALL + 1000);
    run("set back", WALL + 500, WALL - 2 * days);
    run("before", WALL - days, WALL - days + 1000);
    run("short", WALL + 10, WALL + 20);
    const ids = (from: number, to: number) => marks(from, to).runs.map(({ id }) => id);
    expect(ids(WALL, WALL + 400)).toEqual(["short", "days"]);
    expect(ids(WALL, WALL + 1000)).toEqual(["set back", "short", "days"]);
    expect(ids(WALL + 501, WALL + 1000)).toEqual(["days"]);
    expect(ids(WALL - 3 * days, WALL + 1000)).toEqual(["set back", "short", "before", "days"]);
  });

  it("has exactly the runs that overlap it, however long, with the clock set back during one or not ended", () => {
    const HOUR = 3_600_000;
    const hours = fc.integer({ min: -60, max: 60 });
    const some = fc.array(fc.record({ start: hours, lasts: fc.option(hours) }), { maxLength: 12 });
    const insert = bench.db.prepare(
      `INSERT INTO run (number, id, session, cause, start_wall, start_mono, boot_id, clock_at_start, settings,
         simulated, end_wall, end_mono, end_cause, stamp)
       VALUES (@number, @number, 1, 'screen', @start, 0, 'boot-1', 'synchronised', '{}', 0, @end,
         CASE WHEN @end IS NULL THEN NULL ELSE 0 END, CASE WHEN @end IS NULL THEN NULL ELSE 'screen' END,
         CASE WHEN @end IS NULL THEN NULL ELSE '{}' END)`,
    );
    fc.assert(
      fc.property(some, hours, fc.integer({ min: 1, max: 60 }), (runs, from, span) => {
        bench.db.exec("DELETE FROM run");
        const kept = runs.map(({ start, lasts }, i) => ({
          number: i + 1,
          start: WALL + start * HOUR,
          end: lasts === null ? null : WALL + (start + lasts) * HOUR,
        }));
        for (const run of kept) insert.run(run);
        const window = { from: WALL + from * HOUR, to: WALL + (from + span) * HOUR };
        const overlapping = kept
          .filter(
            ({ start, end }) => start < window.to && (end === null || Math.max(start, end) >= window.from),
          )
          .sort((a, b) => b.start - a.start || b.number - a.number);
        expect(marks(window.from, window.to).runs.map(({ number }) => number)).toEqual(
          overlapping.map(({ number }) => number),
        );
      }),
    );
  });

  it("says which runs are flagged, the mark of the simulated bench being none", () => {
    const flag = (name: "simulated" | "coolant-out-of-range") => ({
      flag: name,
      text: "…",
      excursion: null,
      seconds: null,
    });
    for (const [id, flags] of [
      ["made", [flag("simulated")]],
      ["warm", [flag("simulated"), flag("coolant-out-of-range")]],
    ] as const) {
      const run = openRun(id, { settings: {} });
      bench.put([], { name: "runBegun", params: run });
      bench.put([], { name: "runEnded", params: ended(run, { flags: [...flags] }) });
    }
    expect(marks(WALL, WALL + 1).runs.map(({ id, flagged, material }) => [id, flagged, material])).toEqual([
      ["warm", true, null],
      ["made", false, null],
    ]);
  });

  it("has the raising of an alarm and no other transition, and the maintenance", () => {
    const raised = transition("a-1", { wall: WALL + 5 });
    bench.put([], { name: "alarmTransition", params: raised });
    bench.put([], {
      name: "alarmTransition",
      params: transition("a-2", { transition: "acknowledged", wall: WALL + 6, by: "wall screen" }),
    });
    bench.put([], {
      name: "maintenance",
      params: { kind: "optics-cleaned", at: { wall: WALL + 7, mono: 0 }, note: "" },
    });
    const { alarms, maintenance } = marks(WALL, WALL + 10);
    expect(alarms).toEqual([
      {
        seq: 1,
        alarm: raised.alarm,
        title: raised.title,
        priority: raised.priority,
        wall: WALL + 5,
        detail: raised.detail,
      },
    ]);
    expect(maintenance).toEqual([{ id: 1, kind: "optics-cleaned", wall: WALL + 7, note: "" }]);
    expect(marks(WALL + 8, WALL + 10)).toMatchObject({ alarms: [], maintenance: [] });
  });

  it("tells a kind of which there is more than was asked for as crowds, and only that kind", () => {
    const hour = 3_600_000;
    for (const [i, [wall, priority]] of (
      [
        [WALL, "low"],
        [WALL + 1000, "high"],
        [WALL + 2000, "medium"],
        [WALL + 5 * hour, "low"],
      ] as const
    ).entries()) {
      bench.put([], { name: "alarmTransition", params: transition(`a-${i}`, { wall, priority }) });
    }
    keepRun("one", { startWall: WALL - 90_000 });
    const some = marks(WALL, WALL + 10 * hour, 3);
    expect(some.alarms).toEqual([]);
    expect(some.crowds).toEqual([
      { of: "alarm", from: WALL, to: WALL + 2000, count: 3, priority: "high" },
      { of: "alarm", from: WALL + 5 * hour, to: WALL + 5 * hour, count: 1, priority: "low" },
    ]);
    expect(some.runs.map(({ id }) => id)).toEqual(["one"]);
    expect(marks(WALL, WALL + 10 * hour, 4)).toMatchObject({ crowds: [], alarms: { length: 4 } });
  });

  it("counts every run of a crowd once, one that reaches into the window with its beginning", () => {
    // In one transaction, which the disk is waited for but once.
    bench.db.transaction(() => {
      for (let i = 0; i < 500; i++) {
        const startWall = WALL + i * 7 * 60_000;
        const run = openRun(`run-${i}`, { startWall });
        bench.put([], { name: "runBegun", params: run });
        const endWall = startWall + 300_000;
        bench.put([], { name: "runEnded", params: { ...ended(run), endWall } });
      }
    })();
    const [from, to] = [WALL + 100_000, WALL + 499 * 7 * 60_000 + 1];
    const { runs, crowds } = marks(from, to, 300);
    expect(runs).toEqual([]);
    expect(crowds.length).toBeLessThanOrEqual(240);
    expect(crowds.length).toBeGreaterThan(200);
    expect(crowds.reduce((sum, { count }) => sum + count, 0)).toBe(500);
    expect(crowds[0]).toMatchObject({ of: "run", from: WALL, priority: null });
    expect(crowds.at(-1)?.to).toBe(to - 1 + 300_000);
  });

  it.each([
    [WALL, WALL, 10],
    [WALL, WALL + 1, 0],
    [WALL, WALL + 1, 1001],
    [WALL, WALL + 1, 1.5],
  ])("refuses %d to %d with %d marks", (from, to, limit) => {
    expect(() => marks(from, to, limit)).toThrow(/Ask for|ends after/);
  });
});

describe("the span of a journal", () => {
  const span = () => reads.span(null) as JournalSpan;

  it("is none before the first reading", () => {
    expect(span()).toEqual({ from: null, to: null });
  });

  it("reaches from the first start of the station, or an older reading, to the last reading", () => {
    bench.put([reading("coolant", 5000), reading("coolant", 60_000)], {
      name: "channelsDefined",
      params: [channel("coolant")],
    });
    expect(span()).toEqual({ from: WALL, to: WALL + 60_000 });
    bench.put([reading("coolant", -1000)]);
    expect(span()).toEqual({ from: WALL - 1000, to: WALL + 60_000 });
  });

  it("is the same once readings are sealed", () => {
    bench.put(Array.from({ length: 70 }, (_, minute) => reading("coolant", minute * 60_000 - 5000)));
    bench.put([reading("coolant", 30 * 3_600_000)]);
    const before = span();
    expect(seal(bench.db)).toBeGreaterThan(0);
    expect(span()).toEqual(before);
    expect(before).toEqual({ from: WALL - 5000, to: WALL + 30 * 3_600_000 });
  });

  it("does not begin with a start whose clock nobody had set", () => {
    bench.put([reading("coolant", 5000)]);
    createWriter(
      bench.db,
      sessionStart({ start: "s-2", bootId: "boot-2", at: { wall: 0, mono: 0 }, clock: "not synchronised" }),
      () => 0,
    );
    expect(span().from).toBe(WALL);
  });
});
