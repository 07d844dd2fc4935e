import { setImmediate as nextTurn } from "node:timers/promises";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Run } from "../../../station/model/run.js";
import { restamp } from "../../../station/trials/recover.js";
import { bench, readerOf, rules } from "./desk-bench.js";

/** What the journal says of a run that is stamped for good. */
async function again(run: Run | undefined, readings: ReturnType<typeof bench>["readings"]) {
  return restamp(run as Run, readerOf(readings), rules);
}

describe("a reading that comes after the end of a run and tells of before it", () => {
  it("is in the stamp that the run keeps", async () => {
    const told: Run[] = [];
    const { desk, at, send, ended, readings } = bench({
      latestMs: 2_000,
      restamped: (run) => told.push(run),
    });
    send("water", 20);
    const { id } = desk.begin().run;
    at(4_000);
    const { run, kept } = desk.end(id);
    expect(run).toMatchObject({ endMono: 4_000, endCause: "screen" });
    expect(run.stamp?.channels.water).toMatchObject({ readings: 0, max: 20 });
    await nextTurn();
    expect(ended).toEqual([]);
    at(5_500);
    send("water", 24, 2_000);
    send("water", 30);
    at(6_000);
    const frozen = await kept;
    expect(frozen.stamp?.channels.water).toMatchObject({ readings: 1, max: 24 });
    expect(frozen.stamp?.flags.map(({ flag }) => flag)).toEqual(["coolant-out-of-range"]);
    expect(ended).toEqual([frozen]);
    expect(await again(frozen, readings)).toEqual(frozen.stamp);
    expect(told.map(({ stamp }) => stamp)).toEqual([frozen.stamp]);
    expect(desk.unkept()).toEqual([]);
  });

  it("is in the stamp of its run, and not in that of the next, which has begun meanwhile", async () => {
    const { desk, at, send, ended, readings } = bench({ latestMs: 2_000 });
    send("water", 20);
    const first = desk.begin().run;
    at(4_000);
    const ending = desk.end(first.id);
    await nextTurn();
    at(4_100);
    const second = desk.begin().run;
    expect(desk.unkept().map(({ id }) => id)).toEqual([first.id]);
    at(5_000);
    send("water", 22, 1_500);
    at(6_000);
    await ending.kept;
    const last = desk.end(second.id);
    at(8_000);
    await last.kept;
    const stamps = ended.map(({ stamp }) => stamp?.channels.water);
    expect(stamps).toMatchObject([
      { readings: 1, first: 20, last: 22 },
      { readings: 0, min: 22, max: 22 },
    ]);
    for (const run of ended) expect(await again(run, readings)).toEqual(run.stamp);
  });

  it("counts however long the loop was held up, and whatever has come before it", async () => {
    const { desk, at, send, ended, readings } = bench({ latestMs: 60_000 });
    send("water", 20);
    send("fan", 1);
    const { id } = desk.begin().run;
    at(4_000);
    const { kept } = desk.end(id);
    await nextTurn();
    // What was read in the meantime comes first, and is old enough to settle.
    for (const mono of [20_000, 40_000]) {
      at(mono);
      send("water", 30);
    }
    send("fan", 0, 37_000);
    at(64_000);
    await kept;
    expect(ended[0]?.stamp?.channels.water).toMatchObject({ max: 20 });
    expect(ended[0]?.stamp?.channels.fan).toMatchObject({ readings: 1, mean: expect.closeTo(2 / 3, 12) });
    expect(await again(ended[0], readings)).toEqual(ended[0]?.stamp);
  });

  it("is not waited for when the station is shut down: nothing is read any more", async () => {
    const { desk, at, send, ended } = bench({ latestMs: 2_000 });
    send("water", 20);
    const { id } = desk.begin().run;
    at(3_000);
    desk.end(id);
    desk.begin();
    at(3_100);
    await desk.shutDown();
    expect(ended.map(({ endCause }) => endCause)).toEqual(["screen", "station-stopped"]);
  });

  it("leaves every stamp as its readings give it, whatever comes late and whoever ends the run", async () => {
    const latestMs = 1_500;
    const event = fc.record({
      gap: fc.integer({ min: 0, max: 1_200 }),
      point: fc.constantFrom("water", "t", "fan", "laser", "laser", "tick", "begin", "end", "end" as const),
      value: fc.integer({ min: 0, max: 400 }),
      lateMs: fc.integer({ min: 0, max: latestMs }),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(event, { minLength: 10, maxLength: 120 }), async (events) => {
        const { desk, at, send, tick, ended, readings } = bench({ latestMs });
        let mono = 3_000;
        for (const { gap, point, value, lateMs } of events) {
          mono += gap;
          at(mono);
          await nextTurn();
          const open = desk.current();
          if (point === "tick") tick();
          else if (point === "begin") {
            if (open === null) desk.begin();
          } else if (point === "end") {
            if (open !== null) desk.end(open.id);
          } else if (point === "fan" || point === "laser") send(point, value % 2, lateMs);
          else send(point, value / 10, lateMs);
        }
        await desk.shutDown();
        for (const run of ended) expect(await again(run, readings)).toEqual(run.stamp);
      }),
      { numRuns: 200 },
    );
  });
});
