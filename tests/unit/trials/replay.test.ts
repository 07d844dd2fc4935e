import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Run, Stamp, WindowStatistics } from "../../../station/model/run.js";
import { closeInterrupted, restamp } from "../../../station/trials/recover.js";
import { bench, EPOCH, readerOf, rules } from "./desk-bench.js";

describe("a stamp worked out again from the readings", () => {
  const event = fc.record({
    gap: fc.integer({ min: 0, max: 3_000 }),
    point: fc.constantFrom("water", "t", "rh", "fan", "tick", "begin", "end" as const),
    value: fc.integer({ min: 0, max: 400 }),
  });

  it("is the one that was frozen with the run, whatever came in and when", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(event, { minLength: 5, maxLength: 120 }), async (events) => {
        const { desk, at, send, tick, ended, readings } = bench();
        let mono = 1_000;
        for (const { gap, point, value } of events) {
          mono += gap;
          at(mono);
          const open = desk.current();
          if (point === "begin") {
            if (open === null) desk.begin();
          } else if (point === "end") {
            if (open !== null) await desk.end(open.id).kept;
          } else if (point === "tick") tick();
          else if (point === "fan") send("fan", value % 2);
          else if (point === "rh") send("rh", value / 4);
          else send(point, value / 10);
        }
        at(mono + 1);
        await desk.shutDown();
        for (const run of ended) {
          expect(await restamp(run, readerOf(readings), rules)).toEqual(run.stamp);
        }
      }),
      { numRuns: 150 },
    );
  });

  it("is the same where the news of the switches comes late, too", async () => {
    const late = fc.record({
      gap: fc.integer({ min: 0, max: 1_200 }),
      point: fc.constantFrom("water", "t", "rh", "fan", "laser", "laser", "tick" as const),
      value: fc.integer({ min: 0, max: 400 }),
      lateMs: fc.integer({ min: 0, max: 1_500 }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(late, { minLength: 10, maxLength: 150 }), async (events) => {
        const { desk, at, send, tick, ended, readings } = bench();
        let mono = 3_000;
        for (const { gap, point, value, lateMs } of events) {
          mono += gap;
          at(mono);
          if (point === "tick") tick();
          else if (point === "fan" || point === "laser") send(point, value % 2, lateMs);
          else send(point, point === "rh" ? value / 4 : value / 10);
        }
        at(mono + 5_000);
        tick();
        await desk.shutDown();
        for (const run of ended.filter(({ endCause }) => endCause === "laser-on")) {
          expect(await restamp(run, readerOf(readings), rules)).toEqual(run.stamp);
        }
      }),
      { numRuns: 500 },
    );
  });

  it("has late news of its window, where its end is waited for longer than news may be late", async () => {
    const { desk, at, send, tick, ended, readings } = bench();
    at(3_000);
    send("laser", 1);
    at(3_002);
    send("laser", 0);
    at(3_093);
    send("fan", 0, 92);
    for (let mono = 4_000; mono <= 12_000; mono += 1_000) {
      at(mono);
      send("water", 0);
    }
    at(18_003);
    tick();
    await desk.shutDown();
    const [run] = ended;
    expect(run?.stamp?.channels.fan).toMatchObject({ readings: 1, goodShare: 0.5 });
    expect(await restamp(run as Run, readerOf(readings), rules)).toEqual(run?.stamp);
  });

  it("is worked out by the method of its time", async () => {
    const { desk, at, send, ended, readings } = bench();
    at(1_000);
    send("water", 19);
    desk.begin();
    at(4_000);
    send("water", 21);
    at(6_000);
    await desk.shutDown();
    const [run] = ended;
    const today = run?.stamp as Stamp;
    expect(today.channels.water).toMatchObject({ mean: 19.8, sd: expect.closeTo(Math.sqrt(0.96), 12) });
    const without = ({ sd: _, ...others }: WindowStatistics) => others;
    const eachWithout = (all: object) =>
      Object.fromEntries(Object.entries(all).map(([id, statistics]) => [id, without(statistics)]));
    const { channels, conditions } = today;
    const old = {
      ...today,
      method: 1,
      channels: eachWithout(channels),
      conditions: eachWithout(conditions),
    } as Stamp;
    expect(await restamp({ ...(run as Run), stamp: old }, readerOf(readings), rules)).toEqual(old);
  });

  it("closes a run that a power cut left open at the last reading that was kept, and says so", async () => {
    const { desk, at, send, readings } = bench({ bootId: "boot-1" });
    send("water", 20);
    desk.setJobSheet({ material: "MDF" }, { wall: 0, mono: 0 });
    const run = desk.begin().run;
    at(3_000);
    send("water", 22);
    at(6_000);
    send("water", 20.5);
    const interruption = {
      endCause: "power-lost",
      beforeMono: Number.MAX_SAFE_INTEGER,
      opticsHours: null,
    } as const;
    const closed = await closeInterrupted(run, readerOf(readings), rules, interruption);
    expect(closed).toMatchObject({ endCause: "power-lost", endMono: 6_001, endWall: EPOCH + 6_001 });
    expect(closed.stamp?.channels.water).toMatchObject({ min: 20, max: 22, known: true });
    expect(closed.stamp?.flags.map(({ flag }) => flag)).toEqual(["coolant-out-of-range", "interrupted"]);

    // In the same boot, what the new start has read already is no part of the run.
    const sameBoot = { ...interruption, endCause: "station-failed", beforeMono: 5_000 } as const;
    const earlier = await closeInterrupted(run, readerOf(readings), rules, sameBoot);
    expect(earlier).toMatchObject({ endCause: "station-failed", endMono: 3_001 });

    const empty = await closeInterrupted(run, readerOf([]), rules, interruption);
    expect(empty.endMono).toBe(run.startMono);
    expect(empty.stamp?.flags.map(({ flag }) => flag)).toEqual(["conditions-unknown", "interrupted"]);
  });
});
