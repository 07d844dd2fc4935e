import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createChannelBoard } from "../../../station/channels/board.js";
import { defineChannel } from "../../../station/channels/define.js";
import { createDeriver } from "../../../station/conditions/deriver.js";
import { AppError } from "../../../station/errors.js";
import type { Instant } from "../../../station/model/instant.js";
import type { RawReading, Reading } from "../../../station/model/reading.js";
import type { Run } from "../../../station/model/run.js";
import { closeInterrupted, type ReplayReadings, restamp } from "../../../station/trials/recover.js";
import { createRunDesk } from "../../../station/trials/run-desk.js";

const definitions = [
  defineChannel({
    id: "water",
    name: "Coolant in",
    kind: "coolant-inlet",
    source: "s",
    point: "water",
    stale_after_s: 5,
  }),
  defineChannel({ id: "room-t", kind: "room-temperature", source: "s", point: "t", stale_after_s: 20 }),
  defineChannel({ id: "room-rh", kind: "room-humidity", source: "s", point: "rh", stale_after_s: 20 }),
  defineChannel({ id: "fan", kind: "extraction-running", source: "s", point: "fan", stale_after_s: 20 }),
  defineChannel({ id: "laser", kind: "laser-on", source: "s", point: "laser", stale_after_s: 20 }),
];
const rules = { definitions, coolantRange: { low: 16, high: 21 }, minGoodShare: 0.8 };
const EPOCH = 1_790_000_000_000;
const instant = (mono: number): Instant => ({ wall: EPOCH + mono, mono });

/** The line from raw readings to the desk, as the station wires it, with a store in memory and a clock that is set. */
function bench(options: { bootId?: string } = {}) {
  const board = createChannelBoard(definitions);
  const deriver = createDeriver({ definitions, coolantRange: rules.coolantRange });
  const readings: Reading[] = [];
  const begun: Run[] = [];
  const ended: Run[] = [];
  let mono = 1_000;
  const clock = {
    now: () => instant(mono),
    bootId: options.bootId ?? "boot-1",
    state: () => "synchronised" as const,
  };
  const desk = createRunDesk({
    clock,
    rules,
    joinGapMs: 2_000,
    store: {
      runBegun: async (run) => {
        begun.push(run);
        return { ...run, number: 40 + begun.length };
      },
      runEnded: async (run) => {
        ended.push(run);
      },
    },
    opticsHours: () => 3,
    simulated: false,
    lastNumber: 40,
    jobSheet: null,
    failed: (error) => {
      throw error;
    },
  });
  const pass = (taken: readonly Reading[]) => {
    for (const reading of taken) {
      readings.push(reading);
      const derived = deriver.take(reading);
      desk.take(reading, derived, deriver.extraction().state);
    }
  };
  return {
    desk,
    readings,
    begun,
    ended,
    clock,
    at(next: number) {
      mono = next;
    },
    /** @param lateMs how long ago it happened: news of a switch comes late */
    send(point: string, value: number, lateMs = 0) {
      const unit = point === "water" || point === "t" ? "Cel" : point === "rh" ? "%RH" : "state";
      const raw: RawReading = { source: "s", point, at: instant(mono - lateMs), value, unit };
      pass(board.take(raw));
    },
    tick() {
      pass(board.tick(instant(mono)));
      desk.tick(instant(mono));
    },
  };
}

describe("the run desk", () => {
  it("opens a run with the laser, and freezes it as it was when the laser went off", async () => {
    const { desk, at, send, tick, ended } = bench();
    send("water", 20);
    at(2_000);
    send("laser", 1);
    at(6_000);
    send("laser", 0);
    at(7_000);
    // After the end: must not show in the stamp.
    send("water", 30);
    at(8_500);
    tick();
    await desk.shutDown();
    expect(ended).toHaveLength(1);
    expect(ended[0]).toMatchObject({ number: 41, startMono: 2_000, endMono: 6_000, endCause: "laser-on" });
    expect(ended[0]?.stamp?.channels.water).toMatchObject({ max: 20, mean: 20, goodShare: 1 });
    expect(ended[0]?.stamp?.flags).toEqual([]);
    expect(ended[0]?.stamp).toMatchObject({
      opticsHours: 3,
      clockAtStart: "synchronised",
      startWall: EPOCH + 2_000,
    });
  });

  it("stamps the true window where the news of the laser comes late", async () => {
    const { desk, at, send, tick, ended } = bench();
    send("water", 20);
    at(2_100);
    send("water", 25);
    // It went on at 1500, before the water was seen warm, and off at 2050.
    at(2_200);
    send("laser", 1, 700);
    at(2_300);
    send("laser", 0, 250);
    at(6_000);
    send("water", 30);
    tick();
    await desk.shutDown();
    expect(ended[0]).toMatchObject({ startMono: 1_500, endMono: 2_050 });
    expect(ended[0]?.stamp?.channels.water).toMatchObject({ min: 20, max: 20, mean: 20, goodShare: 1 });
    expect(ended[0]?.stamp?.flags).toEqual([]);
  });

  it("says that the coolant was seen outside, without a number, where too little of the run has good data", async () => {
    const { desk, at, send, tick } = bench();
    send("water", 25);
    const { id } = desk.begin(null).run;
    at(60_000);
    tick();
    const { stamp } = await desk.end(id).kept;
    const flag = stamp?.flags.find((each) => each.flag === "coolant-out-of-range");
    expect(flag).toMatchObject({ excursion: null, seconds: null });
    expect(flag?.text).not.toMatch(/\d/);
  });

  it("flags coolant above and below the range with how far and how long", async () => {
    const { desk, at, send } = bench();
    send("water", 20);
    const begun = desk.begin({ material: "MDF" }).run;
    at(3_000);
    send("water", 22.5);
    at(5_000);
    send("water", 15.75);
    at(6_000);
    send("water", 18);
    at(7_000);
    const run = await desk.end(begun.id).kept;
    expect(run.stamp?.flags).toEqual([
      {
        flag: "coolant-out-of-range",
        text: "Coolant in was above 21 °C for 2.0 s, up to 22.5 °C (1.5 °C over), and below 16 °C for 1.0 s, down to 15.75 °C (0.25 °C under).",
        excursion: 1.5,
        seconds: 3,
      },
    ]);
    expect(run.settings).toEqual({ material: "MDF" });
  });

  it("says conditions unknown, with no number, where the probe was dead for too long", async () => {
    const { desk, at, send, tick } = bench();
    send("water", 20);
    const { id } = desk.begin(null).run;
    at(60_000);
    tick();
    const { stamp } = await desk.end(id).kept;
    expect(stamp?.channels.water).toMatchObject({
      known: false,
      mean: null,
      min: null,
      max: null,
      first: null,
      last: null,
    });
    expect(stamp?.flags[0]).toMatchObject({ flag: "conditions-unknown" });
    expect(stamp?.flags[0]?.text).toMatch(/good data for 8 % of the run, and 80 % is asked for/);
  });

  it("flags a run in which the extraction stood still", async () => {
    const { desk, at, send } = bench();
    send("water", 20);
    send("fan", 1);
    const { id } = desk.begin(null).run;
    at(2_000);
    send("fan", 0);
    at(5_000);
    send("water", 20);
    at(5_500);
    const { stamp } = await desk.end(id).kept;
    expect(stamp?.flags).toEqual([
      {
        flag: "extraction-stopped",
        text: "Extraction stood still for 3.5 s of the run.",
        excursion: null,
        seconds: 3.5,
      },
    ]);
  });

  it("refuses a second run, an end of none and an end of another", async () => {
    const { desk } = bench();
    expect(() => desk.end("x")).toThrow(expect.objectContaining({ code: "run-not-open" }));
    const { run } = desk.begin(null);
    expect(() => desk.begin(null)).toThrow(expect.objectContaining({ code: "run-open" }));
    expect(() => desk.end("x")).toThrow(AppError);
    expect(desk.current()?.id).toBe(run.id);
  });

  it("closes an open run when the station is shut down, and says so", async () => {
    const { desk, at, send, ended } = bench();
    send("water", 20);
    desk.begin(null);
    at(4_000);
    await desk.shutDown();
    expect(ended[0]).toMatchObject({ endCause: "station-stopped", endMono: 4_000 });
    expect(ended[0]?.stamp?.flags.map(({ flag }) => flag)).toEqual(["interrupted"]);
  });
});

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
            if (open === null) desk.begin(null);
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
      { numRuns: 200 },
    );
  });

  it("closes a run that a power cut left open at the last reading that was kept, and says so", async () => {
    const { desk, at, send, readings } = bench({ bootId: "boot-1" });
    send("water", 20);
    const run = desk.begin({ material: "MDF" }).run;
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

/** A journal that holds these readings of one boot. */
function readerOf(readings: readonly Reading[]): ReplayReadings {
  return {
    lastReadingsBefore: async () => [],
    async *readingsForReplay({ fromMono, toMono }) {
      yield readings.filter(({ at }) => at.mono >= fromMono && at.mono <= toMono);
    },
  };
}
