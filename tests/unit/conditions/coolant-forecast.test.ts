import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  BIN_S,
  type CoolantBin,
  createCoolantBins,
  MOST_BINS,
} from "../../../station/conditions/coolant-bins.js";
import { createCoolantForecaster } from "../../../station/conditions/coolant-forecast.js";
import { scoreForecasts } from "../../../station/conditions/forecast-record.js";
import { forecastJob } from "../../../station/conditions/job-forecast.js";
import { channelsOf, good, poor } from "./stock-channels.js";

const RANGE = { low: 15, high: 22 };
const bins = (count: number, at: (i: number) => number | null): CoolantBin[] =>
  Array.from({ length: count }, (_, i) => ({ value: at(i), duty: 0 }));
const fed = (all: readonly CoolantBin[]) => {
  const forecaster = createCoolantForecaster();
  for (const bin of all) forecaster.push(bin);
  return forecaster;
};
/** A chiller's saw-tooth: six minutes up, two down, between 17.5 and 18.5 °C. */
const sawTooth = (i: number) => {
  const phase = i % 48;
  return phase < 36 ? 17.5 + phase / 36 : 18.5 - (phase - 36) / 12;
};

describe("the forecast of the coolant", () => {
  it("follows a chiller's saw-tooth, where a line would lead out of the range and staying would miss the turn", () => {
    // Half an hour past a whole number of cycles, in the middle of a rise.
    const all = bins(700, sawTooth);
    const forecaster = fed(all);
    for (const minutes of [5, 15]) {
      const then = sawTooth(699 + minutes * 6);
      const said = forecaster.at(minutes);
      expect(said?.likeness).toBe(1);
      expect(Math.abs((said?.value ?? 0) - then)).toBeLessThan(0.1);
      expect(said?.low).toBeLessThan(then);
      expect(said?.high).toBeGreaterThan(then);
    }
    expect(forecaster.leaving(30, RANGE)).toBeLessThan(0.01);
    expect(forecaster.leaving(15, { low: 15, high: 18.2 })).toBeGreaterThan(0.9);
  });

  it("falls back on the last minutes, with wide limits, where nothing like it was seen", () => {
    const risen = bins(700, (i) => (i < 660 ? sawTooth(i) : 19 + (i - 660) * 0.05));
    const said = fed(risen).at(15);
    const calm = fed(bins(700, sawTooth)).at(15);
    expect(said?.likeness).toBe(0);
    expect((said?.high ?? 0) - (said?.low ?? 0)).toBeGreaterThan(5 * ((calm?.high ?? 0) - (calm?.low ?? 0)));
  });

  it("says nothing before a minute was measured, nor while the probe is silent", () => {
    expect(fed(bins(5, () => 18)).at(5)).toBeNull();
    expect(fed(bins(6, () => 18)).at(5)?.value).toBeCloseTo(18, 6);
    expect(fed([...bins(600, sawTooth), { value: null, duty: 0 }]).at(5)).toBeNull();
    expect(createCoolantForecaster().leaving(5, RANGE)).toBeNull();
  });

  it("is certain to be outside where it is outside, and refuses a distance that it has no past for", () => {
    expect(fed(bins(100, () => 25)).leaving(5, RANGE)).toBe(1);
    expect(() => fed(bins(100, () => 18)).at(61)).toThrow(RangeError);
    expect(() => fed(bins(100, () => 18)).at(0)).toThrow(RangeError);
  });

  it("rests on the last three hours alone", () => {
    const recent = bins(MOST_BINS, sawTooth);
    const long = fed([...bins(997, (i) => 30 + Math.sin(i)), ...recent]);
    expect(long.knownMin()).toBe(180);
    const [a, b] = [long.at(15)?.value, fed(recent).at(15)?.value];
    expect(a).toBeCloseTo(b ?? 0, 1);
  });

  it("gives limits around its value and a probability, whatever was measured", () => {
    const value = fc.option(fc.double({ min: -5, max: 60, noNaN: true }), { nil: null, freq: 8 });
    fc.assert(
      fc.property(fc.array(value, { maxLength: 200 }), fc.integer({ min: 1, max: 60 }), (values, minutes) => {
        const forecaster = fed(values.map((each) => ({ value: each, duty: 0 })));
        const said = forecaster.at(minutes);
        const leaves = forecaster.leaving(minutes, RANGE);
        expect((said === null) === (leaves === null)).toBe(true);
        if (said === null || leaves === null) return;
        expect(said.low).toBeLessThan(said.value);
        expect(said.high).toBeGreaterThan(said.value);
        expect(leaves).toBeGreaterThanOrEqual(0);
        expect(leaves).toBeLessThanOrEqual(1);
      }),
    );
  });
});

describe("a job of some minutes", () => {
  it.each([
    [
      (i: number) => sawTooth(i),
      RANGE,
      "likely-stays",
      /^The coolant likely stays in 15 to 22 °C for 20 min \(chance of leaving below 1 %\)\.$/,
    ],
    [
      (i: number) => sawTooth(i),
      { low: 15, high: 18.3 },
      "will-leave",
      /^The coolant will most likely leave 15 to 18.3 °C within 20 min/,
    ],
    [() => 23, RANGE, "outside", /^The coolant is outside 15 to 22 °C now\.$/],
  ] as const)("%#", (at, range, verdict, sentence) => {
    const job = forecastJob(fed(bins(690, at)), 20, range);
    expect(job.verdict).toBe(verdict);
    expect(job.sentence).toMatch(sentence);
  });

  it("says what it rests on", () => {
    expect(forecastJob(fed(bins(700, sawTooth)), 10, RANGE).because).toMatch(
      /^In 10 min about 1[78]\.\d °C, nine times in ten between .* It goes by moments like this one in the last 116 min\. A job that heats more/,
    );
    expect(forecastJob(fed(bins(30, () => 18)), 10, RANGE).because).toContain("the last minutes alone");
    expect(forecastJob(createCoolantForecaster(), 10, RANGE)).toMatchObject({
      verdict: "cannot-tell",
      value: null,
    });
  });
});

describe("bins of the coolant", () => {
  const made = (...readings: Parameters<ReturnType<typeof createCoolantBins>["take"]>[0][]) => {
    const pushed: CoolantBin[] = [];
    const taker = createCoolantBins(channelsOf("coolant", "laser"), (bin) => pushed.push(bin));
    for (const { at, ...reading } of readings)
      taker.take({ ...reading, at: { ...at, mono: at.mono * 1000 } });
    return pushed;
  };

  it("are means of ten seconds of the monotonic clock, with the share of laser", () => {
    const readings = [
      good("coolant", 0, 18),
      good("laser", 2, 1),
      good("coolant", 5, 19),
      good("laser", 6, 0),
      good("coolant", BIN_S, 30),
    ];
    expect(made(...readings)).toEqual([{ value: 18.5, duty: 0.4 }]);
  });

  it("leave out what leapt, and say nothing of a stretch without a reading", () => {
    const readings = [
      good("coolant", 0, 18),
      poor("coolant", 1, "sudden-jump", 40),
      poor("coolant", 12, "unplugged"),
      good("coolant", 25, 19),
      good("coolant", 30, 19),
    ];
    expect(made(...readings).map(({ value }) => value)).toEqual([18, null, 19]);
  });

  it("forget everything after another boot or a gap longer than the past", () => {
    const pushed = made(good("coolant", 1000, 18), good("coolant", 5, 19));
    expect(pushed).toHaveLength(MOST_BINS);
    expect(pushed.every(({ value }) => value === null)).toBe(true);
  });
});

describe("how good the forecasts were", () => {
  it("is told against what came, beside staying and going on in a line", () => {
    const record = scoreForecasts(bins(1500, sawTooth), 0, 15_000_000, RANGE);
    const [five, fifteen] = record.scores;
    // Every five minutes; of 50, the last is at the very end.
    expect([five?.n, fifteen?.n]).toEqual([49, 47]);
    expect(five?.own.median).toBeLessThan(0.2 * (five?.stays.median ?? 0));
    expect(fifteen?.line.rms).toBeGreaterThan(10 * (fifteen?.own.median ?? 1));
    expect(five?.held).toBeGreaterThan(0.85);
    expect(record.drawn[0]?.points).toHaveLength(49);
  });

  it("counts what it said of leaving against what was", () => {
    const runaway = bins(1500, (i) => (i < 1200 ? sawTooth(i) : 18 + (i - 1200) * 0.1));
    const [five] = scoreForecasts(runaway, 0, 15_000_000, RANGE).scores;
    expect((five?.saidStays ?? 0) + (five?.saidLeaves ?? 0)).toBeLessThan(49);
    expect((five?.leftAfterAll ?? 0) + (five?.leftAsSaid ?? 0)).toBeGreaterThan(0);
  });

  it("of nothing measured is nothing", () => {
    expect(
      scoreForecasts(
        bins(1500, () => null),
        0,
        1,
        RANGE,
      ).scores.map(({ n }) => n),
    ).toEqual([0, 0]);
  });
});
