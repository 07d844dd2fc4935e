import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fitTrend } from "../../../station/conditions/coolant-trend.js";
import { chiller, scene } from "./coolant-scenes.js";

const range = { low: 18, high: 22 };

describe("whatever the readings", () => {
  const steps = fc.array(
    fc.tuple(fc.integer({ min: 1, max: 40_000 }), fc.double({ min: -20, max: 120, noNaN: true })),
    {
      maxLength: 200,
    },
  );
  const pointsOf = (pairs: [number, number][]) => {
    let mono = 0;
    return pairs.map(([gap, value]) => {
      mono += gap;
      return { mono, value };
    });
  };

  it("gives finite numbers, or unknown with none; minutes from 0 to the horizon, 0 exactly where outside or at once", () => {
    fc.assert(
      fc.property(steps, (pairs) => {
        const points = pointsOf(pairs);
        const last = points.at(-1) ?? { mono: 0, value: 20 };
        const trend = fitTrend(points, last.mono, range);
        const numbers = [
          trend.level,
          trend.slopePerMin,
          trend.slopeSe,
          trend.residualSd,
          trend.minutesInRange,
        ];
        if (trend.word === "unknown") {
          expect(numbers).toEqual([null, null, null, null, null]);
          return;
        }
        for (const number of numbers) expect(Number.isFinite(number)).toBe(true);
        expect(trend.minutesInRange).toBeGreaterThanOrEqual(0);
        expect(trend.minutesInRange).toBeLessThanOrEqual(60);
        const outside = last.value < range.low || last.value > range.high;
        expect(trend.place !== "inside").toBe(outside);
        if (outside) expect(trend.minutesInRange).toBe(0);
      }),
    );
  });

  it("does not depend on readings from before the window", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1000 }), (seed) => {
        const points = scene((s) => 20 + chiller(s, 200, 0.3), 1500, { seed, everyS: 3 });
        const recent = points.filter(({ mono }) => mono > 900_000);
        expect(fitTrend(recent, 1_500_000, range)).toEqual(fitTrend(points, 1_500_000, range));
      }),
      { numRuns: 20 },
    );
  });
});
