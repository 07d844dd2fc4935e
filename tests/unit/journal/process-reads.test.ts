import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { localDay } from "../../../station/cautions/local-day.js";
import { createProcessReads } from "../../../station/journal/process-reads.js";
import { createReads } from "../../../station/journal/reads.js";
import { DAY_MS } from "../../../station/journal/rollup.js";
import type { Series } from "../../../station/model/now.js";
import { type Bench, channel, reading, seal, WALL, writerBench } from "./samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
  bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("filter"), channel("fan")] });
});
afterEach(() => bench.remove());

const asked = () => {
  const { series } = createReads(bench.db);
  return createProcessReads((request) => series(request) as Series, localDay);
};
const RANGE = { low: 15, high: 22 };

describe("forecasts held against what came, from the journal", () => {
  it("are worked out from the readings, sealed or not, and the same question is answered from memory", () => {
    // Three hours, a reading every two seconds: a saw-tooth of eight minutes between 17.5 and 18.5 °C.
    const readings = Array.from({ length: 5400 }, (_, i) => {
      const phase = (2 * i) % 480;
      return reading("coolant", 2000 * i, phase < 360 ? 17.5 + phase / 360 : 18.5 - (phase - 360) / 120);
    });
    bench.put(readings.slice(0, 3000));
    seal(bench.db);
    bench.put(readings.slice(3000));
    const from = Math.floor(WALL / 10_000) * 10_000;
    const request = {
      coolant: "coolant",
      laser: "laser-that-was-never-kept",
      from,
      to: from + 10_800_000,
      range: RANGE,
    };
    const reads = asked();
    const record = reads.coolantForecasts(request);
    const [five] = record.scores;
    expect(five?.n).toBeGreaterThan(30);
    expect(five?.own.median).toBeLessThan(0.5 * (five?.stays.median ?? 0));
    expect(reads.coolantForecasts(request)).toBe(record);
    expect(reads.coolantForecasts({ ...request, range: { low: 15, high: 23 } })).not.toBe(record);
  });

  it("are none of a coolant that was never kept", () => {
    const request = { coolant: "nothing", laser: null, from: WALL, to: WALL + 3_600_000, range: RANGE };
    expect(
      asked()
        .coolantForecasts(request)
        .scores.map(({ n }) => n),
    ).toEqual([0, 0]);
  });
});

describe("days of the filter", () => {
  it("are made of the minutes in which the fan turned steadily", () => {
    const start = Math.ceil(WALL / 60_000) * 60_000 - WALL;
    // A minute of rest, one of starting, five of turning.
    const fan = (second: number) => (second < 60 ? 0 : second < 100 ? 50 * (second - 60) : 2600);
    const readings = Array.from({ length: 420 }, (_, second) => [
      reading("fan", start + second * 1000, fan(second)),
      reading("filter", start + second * 1000, fan(second) === 2600 ? 120 : 0),
    ]).flat();
    bench.put(readings);
    // From days before the first reading until a day after the last.
    const request = { pressure: "filter", speed: "fan", from: WALL - 59 * DAY_MS, to: WALL + DAY_MS };
    const middle = WALL + start + 120_000 + 2 * 60_000;
    expect(asked().filterDays(request)).toEqual([{ t: middle, pressure: 120, minutes: 5 }]);
    // Without a sensor of the fan the minute of its start counts.
    expect(asked().filterDays({ ...request, speed: null })).toMatchObject([{ pressure: 120, minutes: 6 }]);
    expect(asked().filterDays({ ...request, pressure: "never-kept" })).toEqual([]);
  });
});
