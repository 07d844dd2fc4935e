import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import type { Clock } from "../../station/model/instant.js";
import type { RawReading } from "../../station/model/reading.js";
import type { SourceStatus } from "../../station/model/source.js";
import { createBenchSimulator } from "../../station/sources/bench-simulator/device.js";
import { benchSimulatorEntrySchema } from "../../station/sources/bench-simulator/entry.js";
import { BENCH_POINTS } from "../../station/sources/bench-simulator/points.js";

const MONO_AT_START = 50_000;
const WALL_AT_START = Date.UTC(2030, 0, 1);

/** The faked clock of the test, with a jump that a suspended machine or a set wall clock would show. */
class TestClock implements Clock {
  readonly bootId = "test";
  monoJump = 0;
  wallJump = 0;
  now() {
    const passed = Date.now() - WALL_AT_START;
    return {
      wall: WALL_AT_START + passed + this.monoJump + this.wallJump,
      mono: MONO_AT_START + passed + this.monoJump,
    };
  }
  state() {
    return "synchronised" as const;
  }
}

class Recorder {
  readonly readings: RawReading[] = [];
  readonly statuses: SourceStatus[] = [];
  reading(raw: RawReading) {
    this.readings.push(raw);
  }
  status(status: SourceStatus) {
    this.statuses.push(status);
  }
  times(point: string) {
    return this.readings.filter((each) => each.point === point).map((each) => each.at.mono - MONO_AT_START);
  }
}

const build = (more: object = {}) => {
  const clock = new TestClock();
  const entry = benchSimulatorEntrySchema.parse({ id: "bench", driver: "bench-simulator", ...more });
  return { clock, sink: new Recorder(), source: createBenchSimulator(entry, { clock }) };
};

beforeEach(() => {
  vi.useFakeTimers({ now: WALL_AT_START });
});
afterEach(() => {
  vi.useRealTimers();
});

describe("the bench simulator as a source", () => {
  test("opens at once, says that it is simulated, and reads every point each second", async () => {
    const { sink, source } = build();
    source.start(sink);
    expect(sink.statuses).toMatchObject([
      { source: "bench", driver: "bench-simulator", state: "open", simulated: true },
    ]);
    expect(sink.readings).toEqual([]);
    vi.advanceTimersByTime(3000);
    for (const point of BENCH_POINTS) expect(sink.times(point)).toEqual([0, 1000, 2000, 3000]);
    expect(sink.readings[0]).toMatchObject({
      source: "bench",
      point: "coolant-inlet",
      at: { mono: MONO_AT_START, wall: WALL_AT_START },
      unit: "Cel",
    });
    expect(source.status()).toMatchObject({
      state: "open",
      reason: null,
      accepted: 4 * BENCH_POINTS.length,
      dropped: {},
      simulated: true,
    });
    await source.stop();
  });

  test("gives an edge the time it happened, between ticks and at twenty times the speed", async () => {
    const { sink, source } = build({
      time_factor: 20,
      cutting: { first_at_s: 3.4, every_s: 100, for_s: 5.3 },
    });
    source.start(sink);
    vi.advanceTimersByTime(900);
    const edges = sink.readings.filter((each) => each.point === "laser-on" && each.at.mono > MONO_AT_START);
    expect(edges.map((each) => [each.at.mono - MONO_AT_START, "value" in each && each.value])).toEqual([
      [170, 1],
      [435, 0],
    ]);
    expect(edges.map((each) => each.at.wall - each.at.mono)).toEqual([
      WALL_AT_START - MONO_AT_START,
      WALL_AT_START - MONO_AT_START,
    ]);
    await source.stop();
  });

  test("reports an unplugged probe as a fault without a value", async () => {
    const { sink, source } = build({
      faults: [{ fault: "probe-unplugged", point: "coolant-inlet", at_s: 1, for_s: 1 }],
    });
    source.start(sink);
    vi.advanceTimersByTime(2000);
    const readings = sink.readings.filter((each) => each.point === "coolant-inlet");
    expect(readings.map((each) => ("fault" in each ? each.fault : typeof each.value))).toEqual([
      "number",
      "unplugged",
      "number",
    ]);
    await source.stop();
  });

  test("tells the same however its timer is late, as long as it runs", async () => {
    const steady = build({ seed: 9 });
    steady.source.start(steady.sink);
    vi.advanceTimersByTime(10_000);
    await steady.source.stop();
    vi.setSystemTime(WALL_AT_START);
    const late = build({ seed: 9 });
    late.source.start(late.sink);
    late.clock.monoJump = 1500;
    vi.advanceTimersByTime(8500);
    expect(late.sink.readings).toEqual(steady.sink.readings);
    await late.source.stop();
  });

  test("makes up for a suspended process without inventing readings, and no more than an hour", async () => {
    for (const gap of [60_000, 40 * 60_000, 30 * 86_400_000]) {
      vi.setSystemTime(WALL_AT_START);
      const { clock, sink, source } = build();
      source.start(sink);
      vi.advanceTimersByTime(2000);
      const before = sink.readings.length;
      clock.monoJump = gap;
      vi.advanceTimersByTime(100);
      const after = sink.readings.slice(before);
      expect(after.map((each) => each.point)).toEqual(BENCH_POINTS);
      for (const each of after) {
        expect(each.at).toEqual({ mono: MONO_AT_START + 2100 + gap, wall: WALL_AT_START + 2100 + gap });
      }
      vi.advanceTimersByTime(2000);
      const times = sink.times("room-temperature");
      expect(times.filter((time) => time > 2100 + gap).length).toBeGreaterThanOrEqual(1);
      expect([...times].sort((a, b) => a - b)).toEqual(times);
      await source.stop();
    }
  });

  test("has lived through an hour, and no longer, after a month asleep", async () => {
    const { clock, sink, source } = build({ cutting: { first_at_s: 3610, every_s: 1000, for_s: 30 } });
    source.start(sink);
    vi.advanceTimersByTime(2000);
    clock.monoJump = 30 * 86_400_000;
    vi.advanceTimersByTime(20_000);
    const fired = sink.readings.find(
      (each) => each.point === "laser-on" && "value" in each && each.value === 1,
    );
    // 2.1 s had been reported before; after 3600 s of sleep the cut is 7.9 s off, and the sleep ends with the next tick.
    expect(fired?.at.mono).toBe(MONO_AT_START + clock.monoJump + 10_000);
    await source.stop();
  });

  test("keeps its pace when the wall clock is set, and stamps the new wall time", async () => {
    const { clock, sink, source } = build();
    source.start(sink);
    vi.advanceTimersByTime(1000);
    clock.wallJump = -3_600_000;
    vi.advanceTimersByTime(1000);
    expect(sink.times("lid-open")).toEqual([0, 1000, 2000]);
    expect(sink.readings.at(-1)?.at.wall).toBe(WALL_AT_START + 2000 - 3_600_000);
    await source.stop();
  });

  test("stops with no timer left, twice if asked, and begins anew when started again", async () => {
    const { sink, source } = build({ seed: 2 });
    source.start(sink);
    source.start(sink);
    expect(vi.getTimerCount()).toBe(1);
    vi.advanceTimersByTime(2000);
    await source.stop();
    await source.stop();
    expect(vi.getTimerCount()).toBe(0);
    expect(sink.statuses.map((each) => each.state)).toEqual(["open", "closed"]);
    expect(source.status().state).toBe("closed");
    const first = sink.readings.splice(0);
    vi.advanceTimersByTime(5000);
    expect(sink.readings).toEqual([]);

    source.start(sink);
    vi.advanceTimersByTime(2000);
    const values = (readings: readonly RawReading[]) =>
      readings.map((each) => ("value" in each ? each.value : each.fault));
    expect(values(sink.readings)).toEqual(values(first));
    expect(source.status().accepted).toBe(first.length);
    await source.stop();
  });

  test("says nothing more once its sink has stopped it", () => {
    const { source } = build();
    let heard = 0;
    source.start({
      reading() {
        heard += 1;
        void source.stop();
      },
      status() {},
    });
    vi.advanceTimersByTime(3000);
    expect(heard).toBe(1);
    expect(vi.getTimerCount()).toBe(0);
  });

  test("checks out without being started", async () => {
    const { source } = build({ seed: 6 });
    expect(await source.check()).toEqual([
      { subject: "bench", ok: true, found: "a simulated bench: nothing here is measured (seed 6)", mend: "" },
    ]);
    expect(vi.getTimerCount()).toBe(0);
  });
});
