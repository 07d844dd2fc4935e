import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { woodEquilibriumMoisture } from "../../station/conditions/wood-moisture.js";

interface Published {
  grid: { t_c: number; rh_pct: number; emc_pct_fahrenheit_form: number }[];
  table: { t_f: number; rh_pct: number; table_emc_pct_from_memory: number }[];
}

/**
 * Source: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-282 (2021), equation 4-5 and table 4-2.
 * How obtained: the grid was computed apart from this program from the equation with its Fahrenheit coefficients (from
 * memory), another set of numbers than the Celsius ones under test. The cells of the table are from memory: a check of
 * plausibility, not independent proof.
 */
const published: Published = JSON.parse(
  readFileSync(new URL("./data/wood-moisture.json", import.meta.url), "utf8"),
) as Published;

const temperatures = [...new Set(published.grid.map((row) => row.t_c))];
const columns = [...new Set(published.table.map((row) => row.t_f))];

describe("equilibrium moisture content of wood", () => {
  it("has the whole grid and table to compare", () => {
    expect(published.grid.length).toBe(209);
    expect(published.table.length).toBe(114);
  });

  it.each(temperatures)(
    "agrees with the Fahrenheit form at %d °C, all humidities, within 0.015 %% MC",
    (tC) => {
      for (const row of published.grid.filter((each) => each.t_c === tC)) {
        const moisture = woodEquilibriumMoisture(tC, row.rh_pct);
        expect(Math.abs(moisture - row.emc_pct_fahrenheit_form), `${row.rh_pct} % RH`).toBeLessThan(0.015);
      }
    },
  );

  it.each(columns)("agrees with the recalled table at %d °F within 0.06 %% MC", (tF) => {
    for (const row of published.table.filter((each) => each.t_f === tF)) {
      const moisture = woodEquilibriumMoisture((tF - 32) / 1.8, row.rh_pct);
      expect(Math.abs(moisture - row.table_emc_pct_from_memory), `${row.rh_pct} % RH`).toBeLessThan(0.06);
    }
  });
});
