import { describe, expect, it } from "vitest";
import { type CoolantTrend, fitTrend, type TrendPoint } from "../../../station/conditions/coolant-trend.js";
import { trendText } from "../../../station/conditions/trend-text.js";
import { chiller, scene, until } from "./coolant-scenes.js";

const range = { low: 18, high: 22 };

function trendAt(points: readonly TrendPoint[], s: number): CoolantTrend {
  return fitTrend(until(points, s), s * 1000, range);
}

function every(points: readonly TrendPoint[], fromS: number, toS: number, stepS: number): CoolantTrend[] {
  const trends: CoolantTrend[] = [];
  for (let s = fromS; s <= toS; s += stepS) trends.push(trendAt(points, s));
  return trends;
}

describe("before enough is known", () => {
  it.each([
    ["no reading at all", scene(() => 20, -1), 0],
    ["half a minute of readings", scene(() => 20, 30), 30],
    ["four readings in ten minutes", scene(() => 20, 600, { everyS: 180 }), 600],
    ["a last reading that is a minute old", scene(() => 20, 600), 660],
  ])("says unknown with %s", (_, points, s) => {
    const trend = fitTrend(points, s * 1000, range);
    expect(trend.word).toBe("unknown");
    expect(trend.minutesInRange).toBeNull();
    expect(trend.slopePerMin).toBeNull();
    expect(trendText(trend, range)).toBe("too few readings yet to tell a trend");
  });

  it("begins to speak after a minute", () => {
    expect(
      trendAt(
        scene(() => 20, 60),
        60,
      ).word,
    ).toBe("steady");
  });
});

describe("a steady coolant", () => {
  it.each([
    { noise: 0, everyS: 1 },
    { noise: 0.03, everyS: 1 },
    { noise: 0.1, everyS: 1 },
    { noise: 0.05, everyS: 5 },
    { noise: 0.05, everyS: 15 },
  ])(
    "is steady with noise of $noise °C, read every $everyS s, and not forecast to leave soon",
    ({ noise, everyS }) => {
      const points = scene(() => 20.03, 3600, { noise, everyS });
      const trends = every(points, 120, 3600, 15);
      const steady = trends.filter(({ word }) => word === "steady");
      // The word rests on a 95 % interval, so that chance alone may bend one in twenty.
      expect(steady.length / trends.length).toBeGreaterThan(0.95);
      const minutes = trends.map(({ minutesInRange }) => minutesInRange ?? 0);
      expect(minutes.filter((each) => each === 60).length / trends.length).toBeGreaterThan(0.98);
      expect(Math.min(...minutes)).toBeGreaterThan(20);
    },
  );
});

describe("a straight ramp", () => {
  it.each([
    { slope: 0.2, from: 19, atS: 300 },
    { slope: 0.2, from: 19, atS: 700 },
    { slope: -0.1, from: 20, atS: 600 },
    { slope: 0.05, from: 20, atS: 600 },
    { slope: 1, from: 19, atS: 90 },
  ])(
    "of $slope °C/min from $from °C is told after $atS s, with its time to the bound",
    ({ slope, from, atS }) => {
      const points = scene((s) => from + (slope * s) / 60, atS);
      const trend = trendAt(points, atS);
      expect(trend.word).toBe(slope > 0 ? "rising" : "falling");
      expect(Math.abs((trend.slopePerMin ?? 0) - slope)).toBeLessThan(0.05 * Math.abs(slope) + 0.002);
      const left = ((slope > 0 ? range.high : range.low) - from - (slope * atS) / 60) / slope;
      // Early by the scatter about the line, some hundredths of a degree, and never later than chance allows.
      expect(trend.minutesInRange).toBeGreaterThan(left - 0.1 / Math.abs(slope) - 0.05 * left);
      expect(trend.minutesInRange).toBeLessThan(1.05 * left + 0.1);
    },
  );

  it("holds with readings that are irregular and a third of them lost", () => {
    const points = scene((s) => 19 + (0.2 * s) / 60, 600, { everyS: 1.7, lost: 0.33, seed: 5 });
    const trend = trendAt(points, 600);
    expect(trend.word).toBe("rising");
    expect(trend.minutesInRange).toBeGreaterThan(4.3);
    expect(trend.minutesInRange).toBeLessThan(5.3);
  });

  it("is said to stay where the bound is beyond the horizon", () => {
    const trend = trendAt(
      scene((s) => 19 + (0.02 * s) / 60, 900),
      900,
    );
    expect(trend.minutesInRange).toBe(60);
    expect(trendText(trend, range)).toBe("rising 0.02 °C/min: stays in the range for more than 60 min");
  });
});

describe("a chiller that cycles", () => {
  it.each([
    { periodS: 120, amplitude: 0.3, rising: 0.5 },
    { periodS: 180, amplitude: 0.4, rising: 0.7 },
    { periodS: 240, amplitude: 0.5, rising: 0.8 },
    { periodS: 300, amplitude: 0.3, rising: 0.3 },
  ])(
    "every $periodS s by ±$amplitude °C is cycling in every phase, and not forecast to leave",
    ({ periodS, amplitude, rising }) => {
      const points = scene((s) => 20 + chiller(s, periodS, amplitude, rising), 1800, { seed: periodS });
      for (const trend of every(points, 700, 1800, 7)) {
        expect(trend.word).toBe("cycling");
        expect(trend.minutesInRange).toBe(60);
        expect(Math.abs((trend.level ?? 0) - 20)).toBeLessThan(0.1);
        expect(Math.abs((trend.cycle?.high ?? 0) - 20 - amplitude)).toBeLessThan(0.12);
        expect(Math.abs((trend.cycle?.low ?? 0) - 20 + amplitude)).toBeLessThan(0.12);
        expect(Math.abs((trend.cycle?.periodMin ?? 0) - periodS / 60)).toBeLessThan((0.15 * periodS) / 60);
      }
    },
  );

  it("is told from readings every five seconds too", () => {
    const points = scene((s) => 20 + chiller(s, 180, 0.4), 1800, { everyS: 5 });
    expect(every(points, 700, 1800, 20).every(({ word }) => word === "cycling")).toBe(true);
  });

  it("shows the drift under the cycle, with the time until its peaks meet the bound", () => {
    const points = scene((s) => 19 + chiller(s, 180, 0.4) + (0.05 * s) / 60, 1200);
    for (const trend of every(points, 900, 1200, 10)) {
      expect(trend.word).toBe("rising");
      expect(trend.slopePerMin).toBeGreaterThan(0.04);
      expect(trend.slopePerMin).toBeLessThan(0.06);
    }
    // At 1200 s the middle is at 20.0 and the peaks at 20.4: 32 min to 22 at 0.05 °C/min.
    expect(Math.abs((trendAt(points, 1200).minutesInRange ?? 0) - 32)).toBeLessThan(4);
  });

  it("whose peaks reach out of the range is forecast to leave at the next peak", () => {
    const points = scene((s) => 21.7 + chiller(s, 180, 0.45), 1800);
    // It rises through 22.0 at 90 s of each 180 s cycle and is back by 132 s; at 1500 s it is 60 s into one.
    const trend = trendAt(points, 1500);
    expect(trend.word).toBe("cycling");
    expect(Math.abs((trend.minutesInRange ?? 0) - 0.5)).toBeLessThan(0.4);
    expect(trendAt(points, 1550)).toMatchObject({ place: "above", minutesInRange: 0 });
  });

  it("no longer counts as cycling a while after it has stopped", () => {
    const points = scene((s) => (s < 900 ? 20 + chiller(s, 180, 0.45) : 19.6), 1500);
    expect(trendAt(points, 890).word).toBe("cycling");
    expect(every(points, 1120, 1500, 20).every(({ word }) => word === "steady")).toBe(true);
  });
});

describe("a coolant that runs away", () => {
  it("shows within forty seconds of a pump that stops, from steady", () => {
    const points = scene((s) => (s < 900 ? 20 : 20 + (s - 900) / 60), 1000);
    expect(trendAt(points, 900)).toMatchObject({ word: "steady", minutesInRange: 60 });
    for (const s of [940, 960, 980, 1000]) {
      const trend = trendAt(points, s);
      const left = 2 - (s - 900) / 60;
      expect(trend.word).toBe("rising");
      expect(trend.minutesInRange).toBeLessThan(left + 0.3);
      expect(trend.minutesInRange).toBeGreaterThan(left - 0.5);
    }
  });

  it("shows as soon as it has left the band of the chiller's cycle", () => {
    const points = scene((s) => 20 + chiller(Math.min(s, 900), 180, 0.45) + Math.max(0, s - 900) / 60, 1000);
    // From the trough it takes 65 s to pass the peaks by a tenth or two.
    for (const s of [975, 985, 1000]) {
      const trend = trendAt(points, s);
      expect(trend.word).toBe("rising");
      expect(trend.slopePerMin).toBeGreaterThan(0.9);
      expect(trend.minutesInRange).toBeLessThan(1.5);
    }
  });

  it.each([2, 4, 8])(
    "of %d °C/min out of a restless start is told within 20 s, and never called steady",
    (slope) => {
      // Two cuts have stirred the water before; then the pump stops at 100 s.
      const start = (s: number) => 18.2 + (s < 40 ? 0 : s < 60 ? -0.02 * (s - 40) : -0.4 + 0.015 * (s - 60));
      const points = scene((s) => (s < 100 ? start(s) : start(100) + (slope * (s - 100)) / 60), 130);
      for (const s of [120, 122, 125]) {
        const trend = trendAt(points, s);
        expect(trend.word).toBe("rising");
        expect(trend.slopePerMin).toBeGreaterThan(0.7 * slope);
        expect(trend.minutesInRange).toBeLessThan(1.3 * (4 / slope));
      }
    },
  );

  it("is given no minute once outside", () => {
    const points = scene((s) => 20 + s / 60, 180);
    const trend = trendAt(points, 180);
    expect(trend).toMatchObject({ place: "above", minutesInRange: 0, word: "rising" });
    expect(trendText(trend, range)).toBe("above the range of 18 to 22 °C, rising 1.0 °C/min");
  });
});

describe("an unsettled coolant", () => {
  it("is not called steady, and is given no minutes", () => {
    // A shove of warm water, and back again.
    const points = scene(
      (s) => 19 + (s < 40 ? 0 : s < 60 ? 0.07 * (s - 40) : Math.max(0, 1.4 - 0.05 * (s - 60))),
      90,
    );
    for (const trend of every(points, 50, 85, 1)) {
      expect(trend.word).not.toBe("steady");
      expect(trend.minutesInRange ?? 0).toBeLessThan(60);
    }
    const told = every(points, 60, 85, 1).filter(
      ({ word, slopePerMin }) => word === "unknown" && slopePerMin !== null,
    );
    expect(told.length).toBeGreaterThan(0);
    for (const trend of told) expect(trendText(trend, range)).toBe("unsettled: no trend can be told yet");
  });
});

describe("what has ended is not carried on", () => {
  it("after a cool-down that has reached its end", () => {
    const points = scene((s) => Math.max(20, 28 - (0.5 * s) / 60), 1500);
    expect(trendAt(points, 900).word).toBe("falling");
    expect(every(points, 1060, 1500, 20).every(({ word }) => word === "steady")).toBe(true);
  });

  it("after a jump, which is no slope at all", () => {
    const points = scene((s) => (s < 900 ? 20 : 21), 1500);
    for (const { word, minutesInRange } of every(points, 895, 1500, 5)) {
      // Just after it nothing can be told; at no time is it carried on.
      expect([null, 60]).toContain(minutesInRange);
      expect(["steady", "unknown"]).toContain(word);
    }
    for (const trend of every(points, 990, 1500, 5)) expect(trend.minutesInRange).toBe(60);
    const after = trendAt(points, 920);
    expect(Math.abs((after.level ?? 0) - 21)).toBeLessThan(0.1);
  });
});
