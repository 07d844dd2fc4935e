import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  absoluteHumidity,
  condensationMargin,
  dewOrFrostPoint,
  dewPoint,
  saturationPressureOverIce,
  saturationPressureOverWater,
} from "../../../station/conditions/humid-air.js";
import { woodEquilibriumMoisture } from "../../../station/conditions/wood-moisture.js";

const air = fc.double({ min: -45, max: 60, noNaN: true });
const humidity = fc.double({ min: 0.1, max: 100, noNaN: true });

describe("humid air", () => {
  it("has its dew point at the air's own temperature when saturated, and below it otherwise", () => {
    fc.assert(
      fc.property(air, humidity, (tC, rh) => {
        expect(dewPoint(tC, 100)).toBeCloseTo(tC, 9);
        expect(dewPoint(tC, rh)).toBeLessThanOrEqual(tC + 1e-9);
      }),
    );
  });

  it("has a higher dew point and more water the more humid it is", () => {
    fc.assert(
      fc.property(air, humidity, humidity, (tC, a, b) => {
        fc.pre(Math.abs(a - b) > 1e-6);
        const [drier, wetter] = a < b ? [a, b] : [b, a];
        expect(dewOrFrostPoint(tC, drier).tC).toBeLessThan(dewOrFrostPoint(tC, wetter).tC);
        expect(absoluteHumidity(tC, drier)).toBeLessThan(absoluteHumidity(tC, wetter));
      }),
    );
  });

  it("deposits frost exactly below zero, and there earlier than dew", () => {
    fc.assert(
      fc.property(air, humidity, (tC, rh) => {
        const { tC: point, deposit } = dewOrFrostPoint(tC, rh);
        expect(deposit === "frost").toBe(point < 0);
        if (deposit === "frost") expect(point).toBeGreaterThan(dewPoint(tC, rh));
      }),
    );
  });

  it("leaves the coolant as much margin as it is above the point", () => {
    expect(condensationMargin(20, 25, 80)).toBeCloseTo(20 - dewPoint(25, 80), 12);
    expect(condensationMargin(20, 25, 80)).toBeLessThan(0);
    expect(condensationMargin(5, 5, 30)).toBeCloseTo(5 - dewOrFrostPoint(5, 30).tC, 12);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, 0, -5, 100.1])("refuses a humidity of %d", (rh) => {
    expect(() => dewPoint(20, rh)).toThrow(RangeError);
    expect(() => dewOrFrostPoint(20, rh)).toThrow(RangeError);
    expect(() => absoluteHumidity(20, rh)).toThrow(RangeError);
    expect(() => condensationMargin(20, 20, rh)).toThrow(RangeError);
  });

  it.each([Number.NaN, -45.1, 60.1])("refuses a temperature of %d", (tC) => {
    expect(() => saturationPressureOverWater(tC)).toThrow(RangeError);
    expect(() => dewPoint(tC, 50)).toThrow(RangeError);
    expect(() => absoluteHumidity(tC, 50)).toThrow(RangeError);
  });

  it("speaks of ice from -65 to 0.01 °C only", () => {
    expect(() => saturationPressureOverIce(0.02)).toThrow(RangeError);
    expect(() => saturationPressureOverIce(-65.1)).toThrow(RangeError);
    expect(saturationPressureOverIce(-10)).toBeGreaterThan(0);
  });
});

describe("wood", () => {
  it("is bone dry at 0 % and takes up more the more humid the air", () => {
    expect(woodEquilibriumMoisture(20, 0)).toBe(0);
    fc.assert(
      fc.property(fc.double({ min: 0, max: 60, noNaN: true }), fc.integer({ min: 0, max: 99 }), (tC, rh) => {
        expect(woodEquilibriumMoisture(tC, rh)).toBeLessThan(woodEquilibriumMoisture(tC, rh + 1));
      }),
    );
  });

  it.each([
    [-1.3, 50],
    [133, 50],
    [Number.NaN, 50],
    [20, -1],
    [20, 101],
    [20, Number.NaN],
  ])("refuses %d °C with %d %%", (tC, rh) => {
    expect(() => woodEquilibriumMoisture(tC, rh)).toThrow(RangeError);
  });
});
