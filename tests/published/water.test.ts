import { describe, expect, it } from "vitest";
import { flowAtSpeed, powerAtSpeed, pressureAtSpeed } from "../../station/conditions/fan-laws.js";
import { fromLimits, heatCarried } from "../../station/conditions/heat-carried.js";
import { waterDensity, waterSpecificHeat } from "../../station/conditions/water-properties.js";

describe("water", () => {
  // CRC Handbook of Chemistry and Physics, "Standard density of water", kg/m³ (from memory).
  it.each([
    [0, 999.84],
    [4, 999.972],
    [10, 999.7],
    [15, 999.099],
    [20, 998.203],
    [25, 997.045],
    [30, 995.646],
    [40, 992.21],
    [60, 983.19],
    [80, 971.79],
    [100, 958.35],
  ])("at %d °C has a density of %d kg/m³", (celsius, density) => {
    expect(Math.abs(waterDensity(celsius) - density)).toBeLessThan(0.03);
  });

  // IAPWS-95 at 0.1 MPa, J/(kg K), between the tabulated tens (from memory).
  it.each([
    [5, 4205.1],
    [15, 4188.5],
    [25, 4181.3],
    [35, 4178.2],
    [55, 4182.4],
  ])("at %d °C has a specific heat of %d J/(kg K) within 0.1 %%", (celsius, heat) => {
    expect(Math.abs(waterSpecificHeat(celsius) / heat - 1)).toBeLessThan(1e-3);
  });

  it.each([-0.1, 100.1, Number.NaN])("is not liquid at %d °C", (celsius) => {
    expect(() => waterDensity(celsius)).toThrow(RangeError);
    expect(() => waterSpecificHeat(celsius)).toThrow(RangeError);
  });
});

describe("heat carried away", () => {
  const exact = (value: number) => ({ value, sd: 0 });

  it("of a litre a minute and a degree is 69.6 W at 20 °C: 998.2 g × 4.182 J/(g K) / 60 s", () => {
    const heat = heatCarried({ inlet: exact(19.5), outlet: exact(20.5), flow: exact(1) });
    expect(heat?.value).toBeCloseTo(69.57, 1);
    expect(heat?.sd).toBe(0);
  });

  it("adds what each sensor leaves open, in squares (JCGM 100:2008, 5.1.2)", () => {
    // 3 L/min × 2 K × 69.57 W = 417 W; flow to 10 %: 41.7 W; each probe to 0.1 K: 20.9 W; the root of the squares: 51.2 W.
    const heat = heatCarried({
      inlet: { value: 19, sd: 0.1 },
      outlet: { value: 21, sd: 0.1 },
      flow: { value: 3, sd: 0.3 },
    });
    expect(heat?.value).toBeCloseTo(417.4, 0);
    expect(heat?.sd).toBeCloseTo(51.2, 0);
  });

  it("is nothing while the water stands, and cannot be told of ice", () => {
    expect(heatCarried({ inlet: exact(20), outlet: exact(40), flow: exact(0) })?.value).toBe(0);
    expect(heatCarried({ inlet: exact(-1), outlet: exact(4), flow: exact(1) })).toBeNull();
    expect(heatCarried({ inlet: exact(20), outlet: exact(21), flow: exact(-1) })).toBeNull();
  });

  it("takes limits for a rectangular spread: ±0.5 °C is 0.29 °C (JCGM 100:2008, 4.3.7)", () => {
    expect(fromLimits(0.5)).toBeCloseTo(0.2887, 4);
  });
});

describe("the fan laws", () => {
  // The usual worked example (of textbooks, from memory): 10,000 m³/h, 500 Pa and 2 kW at 800 1/min, taken to 1000 1/min.
  it("take a fan from 800 to 1000 1/min", () => {
    expect(flowAtSpeed(10_000, 800, 1000)).toBeCloseTo(12_500, 6);
    expect(pressureAtSpeed(500, 800, 1000)).toBeCloseTo(781.25, 6);
    expect(powerAtSpeed(2, 800, 1000)).toBeCloseTo(3.90625, 6);
  });

  it("say nothing of a fan that stands", () => {
    expect(() => pressureAtSpeed(100, 0, 1000)).toThrow(RangeError);
  });
});
