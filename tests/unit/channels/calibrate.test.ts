import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { calibrate } from "../../../station/channels/calibrate.js";

const finite = fc.double({ min: -1e6, max: 1e6, noNaN: true });

/** Points in strictly rising order of what the sensor says, as the schema demands. */
const points = fc
  .uniqueArray(fc.tuple(fc.integer({ min: -500, max: 500 }), fc.integer({ min: -500, max: 500 })), {
    minLength: 2,
    maxLength: 20,
    selector: ([said]) => said,
  })
  .map((pairs) => [...pairs].sort(([a], [b]) => a - b) as [number, number][]);

describe("calibrate", () => {
  it("leaves a value alone where there is nothing to calibrate with", () => {
    expect(calibrate(null, 20.0625)).toEqual({ value: 20.0625, beyondPoints: false });
  });

  it("adds an offset, and calls nothing beyond it", () => {
    expect(calibrate({ offset: -0.5 }, 20)).toEqual({ value: 19.5, beyondPoints: false });
  });

  const ice: { points: [number, number][] } = {
    points: [
      [0.5, 0],
      [20.5, 20],
      [40.5, 41],
    ],
  };

  it.each([
    { said: 10.5, value: 10, beyondPoints: false },
    { said: 30.5, value: 30.5, beyondPoints: false },
    { said: 0.5, value: 0, beyondPoints: false },
    { said: 40.5, value: 41, beyondPoints: false },
    { said: -1.5, value: -2, beyondPoints: true },
    { said: 60.5, value: 62, beyondPoints: true },
  ])("takes $said to $value, beyond the points: $beyondPoints", ({ said, value, beyondPoints }) => {
    const calibrated = calibrate(ice, said);
    expect(calibrated.value).toBeCloseTo(value, 12);
    expect(calibrated.beyondPoints).toBe(beyondPoints);
  });

  it("meets every point exactly", () => {
    fc.assert(
      fc.property(points, (pairs) => {
        for (const [said, truth] of pairs) {
          expect(calibrate({ points: pairs }, said).value + 0).toBe(truth + 0);
        }
      }),
    );
  });

  it("stays between the neighbouring truths inside the points, and says so", () => {
    fc.assert(
      fc.property(points, fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(), (pairs, share, pick) => {
        const i = pick % (pairs.length - 1);
        const [x0, y0] = pairs[i] ?? [0, 0];
        const [x1, y1] = pairs[i + 1] ?? [0, 0];
        const { value, beyondPoints } = calibrate({ points: pairs }, x0 + share * (x1 - x0));
        expect(beyondPoints).toBe(false);
        expect(value).toBeGreaterThanOrEqual(Math.min(y0, y1) - 1e-9);
        expect(value).toBeLessThanOrEqual(Math.max(y0, y1) + 1e-9);
      }),
    );
  });

  it("carries the outer segments on in a straight line and says so", () => {
    fc.assert(
      fc.property(points, fc.integer({ min: 1, max: 1000 }), (pairs, beyond) => {
        const [x0, y0] = pairs.at(-2) ?? [0, 0];
        const [x1, y1] = pairs.at(-1) ?? [0, 0];
        const { value, beyondPoints } = calibrate({ points: pairs }, x1 + beyond);
        expect(beyondPoints).toBe(true);
        expect(value).toBeCloseTo(y1 + ((y1 - y0) / (x1 - x0)) * beyond, 6);
      }),
    );
  });

  it("never throws, whatever the number", () => {
    fc.assert(
      fc.property(points, fc.double(), finite, (pairs, said, offset) => {
        expect(() => calibrate({ points: pairs }, said)).not.toThrow();
        expect(() => calibrate({ offset }, said)).not.toThrow();
      }),
    );
  });
});
