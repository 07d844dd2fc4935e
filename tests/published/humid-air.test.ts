import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import {
  absoluteHumidity,
  dewOrFrostPoint,
  dewPoint,
  frostPoint,
  saturationPressureOverIce,
  saturationPressureOverWater,
} from "../../station/conditions/humid-air.js";

interface GridRow {
  t_c: number;
  rh_pct: number;
  is_frost_point: boolean;
  vapour_pressure_pa: number;
  dew_or_frost_point_converged_c: number;
  dewpoint_over_liquid_converged_c: number;
  absolute_humidity_g_per_m3_ideal_gas: number;
}
interface Published {
  saturation_vapour_pressure: { t_c: number; ashrae_pa: number }[];
  documented_example: { t_c: number; rh_pct: number; dew_point_c: number };
  grid: GridRow[];
}

/**
 * Source: ASHRAE Handbook - Fundamentals (2017), chapter 1, equations 5, 6, 20 and 22, as implemented and cited by psychrolib.
 * How obtained: computed with psychrolib (npm 1.1.1, file header 2.5.0); the *_converged_c columns by bisection on its
 * saturation pressure; g/m³ by the ideal gas law with Rv = 461.5 J/(kg K). No enhancement factor.
 * The formulas under test are other ones (Magnus, WMO-No. 8 annex 4.B), so agreement is to their stated exactness, not to
 * the last digit.
 */
const published: Published = JSON.parse(
  readFileSync(new URL("./data/humid-air.json", import.meta.url), "utf8"),
) as Published;

const liquid = published.grid.filter((row) => !row.is_frost_point);
const frost = published.grid.filter((row) => row.is_frost_point);

describe("humid air against the ASHRAE equations", () => {
  it("has rows of both kinds to compare", () => {
    expect(liquid.length).toBe(28);
    expect(frost.length).toBe(4);
  });

  it.each(published.saturation_vapour_pressure)("saturation pressure at $t_c °C within 0.3 %", (row) => {
    const pascals = saturationPressureOverWater(row.t_c) * 100;
    expect(Math.abs(pascals / row.ashrae_pa - 1)).toBeLessThan(0.003);
  });

  it.each(liquid)("dew point at $t_c °C and $rh_pct % within 0.06 K", (row) => {
    const point = dewOrFrostPoint(row.t_c, row.rh_pct);
    expect(point.deposit).toBe("dew");
    expect(Math.abs(point.tC - row.dewpoint_over_liquid_converged_c)).toBeLessThan(0.06);
    expect(dewPoint(row.t_c, row.rh_pct)).toBe(point.tC);
  });

  it.each(frost)(
    "below zero at $t_c °C and $rh_pct %: frost point and dew point over supercooled water within 0.06 K",
    (row) => {
      const point = dewOrFrostPoint(row.t_c, row.rh_pct);
      expect(point.deposit).toBe("frost");
      expect(Math.abs(point.tC - row.dew_or_frost_point_converged_c)).toBeLessThan(0.06);
      expect(frostPoint(row.t_c, row.rh_pct)).toBe(point.tC);
      expect(Math.abs(dewPoint(row.t_c, row.rh_pct) - row.dewpoint_over_liquid_converged_c)).toBeLessThan(
        0.06,
      );
    },
  );

  it.each(published.grid)("absolute humidity at $t_c °C and $rh_pct % within 0.3 %", (row) => {
    const grams = absoluteHumidity(row.t_c, row.rh_pct);
    expect(Math.abs(grams / row.absolute_humidity_g_per_m3_ideal_gas - 1)).toBeLessThan(0.003);
  });

  // Source: the example printed in psychrolib's documentation of its dew point function.
  it("gives the documented 21.3094 °C for 25 °C and 80 % within 0.02 K", () => {
    const { t_c, rh_pct, dew_point_c } = published.documented_example;
    expect(dew_point_c).toBe(21.3094);
    expect(Math.abs(dewPoint(t_c, rh_pct) - dew_point_c)).toBeLessThan(0.02);
  });
});

describe("the Magnus formulas of WMO-No. 8, annex 4.B", () => {
  // Source: WMO-No. 8 annex 4.B, coefficients from memory; the values are those of check calculations made apart from this
  // program from 6.112 · exp(17.62 t / (243.12 + t)).
  it.each([
    [5, 871.7427467687937],
    [20, 2332.5960220978072],
    [35, 5612.841719421078],
  ])("over water at %d °C gives %d Pa", (tC, pascals) => {
    expect(saturationPressureOverWater(tC) * 100).toBeCloseTo(pascals, 6);
  });

  it("meets over ice and over water at 0 °C, and is lower over ice below", () => {
    expect(saturationPressureOverIce(0)).toBe(saturationPressureOverWater(0));
    for (const tC of [-1, -10, -30]) {
      expect(saturationPressureOverIce(tC)).toBeLessThan(saturationPressureOverWater(tC));
    }
  });
});
