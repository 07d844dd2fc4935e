import { describe, expect, it } from "vitest";
import { binReadings, fitLine, intervalFactor } from "../../../station/conditions/line-fit.js";
import { scene, seeded } from "./coolant-scenes.js";

// Source: NIST Statistical Reference Datasets, linear regression, Norris; pairs x, y and certified values.
// How obtained: read from the file nist_linregress/Norris.dat as shipped with SciPy 1.10.1, not from memory.
const NORRIS: readonly (readonly [number, number])[] = [
  [0.2, 0.1],
  [337.4, 338.8],
  [118.2, 118.1],
  [884.6, 888.0],
  [10.1, 9.2],
  [226.5, 228.1],
  [666.3, 668.5],
  [996.3, 998.5],
  [448.6, 449.1],
  [777.0, 778.9],
  [558.2, 559.2],
  [0.4, 0.3],
  [0.6, 0.1],
  [775.5, 778.1],
  [666.9, 668.8],
  [338.0, 339.3],
  [447.5, 448.9],
  [11.6, 10.8],
  [556.0, 557.7],
  [228.1, 228.3],
  [995.8, 998.0],
  [887.6, 888.8],
  [120.2, 119.6],
  [0.3, 0.3],
  [0.3, 0.6],
  [556.8, 557.6],
  [339.1, 339.3],
  [887.2, 888.0],
  [999.0, 998.5],
  [779.0, 778.9],
  [11.1, 10.2],
  [118.3, 117.6],
  [229.2, 228.9],
  [669.1, 668.4],
  [448.9, 449.2],
  [0.5, 0.2],
];
const CERTIFIED = { b0: -0.262323073774029, b1: 1.00211681802045, ssRes: 26.6173985294224 };

describe("fitLine", () => {
  const norris = NORRIS.map(([t, value]) => ({ t, value }));

  it("meets the certified coefficients and residual sum of squares of NIST's Norris data", () => {
    const line = fitLine(norris, 0);
    expect(line?.slope).toBeCloseTo(CERTIFIED.b1, 11);
    expect(line?.atNow).toBeCloseTo(CERTIFIED.b0, 9);
    expect(((line?.residualSd ?? 0) ** 2 * norris.length) / CERTIFIED.ssRes).toBeCloseTo(1, 9);
  });

  it("gives the ordinary standard error where residuals alternate, which leaves every one of them counted", () => {
    // Residuals of one size and alternating sign have a negative lag-1 autocorrelation, taken as none.
    const bins = Array.from({ length: 40 }, (_, i) => ({ t: i, value: 2 * i + (i % 2 === 0 ? 1 : -1) }));
    const line = fitLine(bins, 0);
    const sxx = (40 * (40 ** 2 - 1)) / 12;
    const ssRes = (line?.residualSd ?? 0) ** 2 * 40;
    expect(line?.dof).toBe(38);
    expect(line?.slopeSe).toBeCloseTo(Math.sqrt(ssRes / 38 / sxx), 12);
  });

  it("widens the standard error as Santer et al. 2000 do where residuals hang together", () => {
    const random = seeded(3);
    let drifting = 0;
    const bins = Array.from({ length: 200 }, (_, i) => {
      drifting = 0.8 * drifting + (random() - 0.5);
      return { t: i, value: drifting };
    });
    const line = fitLine(bins, 0);
    const r = (200 - ((line?.dof ?? 0) + 2)) / (200 + (line?.dof ?? 0) + 2);
    expect(r).toBeGreaterThan(0.65);
    expect(r).toBeLessThan(0.9);
    const sxx = (200 * (200 ** 2 - 1)) / 12;
    const ordinary = Math.sqrt(((line?.residualSd ?? 0) ** 2 * 200) / 198 / sxx);
    expect((line?.slopeSe ?? 0) / ordinary).toBeCloseTo(Math.sqrt(198 / (line?.dof ?? 1)), 9);
  });

  it("does not take a run of equal values for a certainty", () => {
    const flat = Array.from({ length: 10 }, (_, i) => ({ t: i, value: 20 }));
    expect(fitLine(flat, 0.018)?.slope).toBe(0);
    expect(fitLine(flat, 0.018)?.slopeSe).toBeGreaterThan(0);
  });

  it("draws no line through two points, or through one moment", () => {
    expect(
      fitLine(
        [
          { t: 0, value: 1 },
          { t: 1, value: 2 },
        ],
        0,
      ),
    ).toBeNull();
    expect(
      fitLine(
        [
          { t: 1, value: 1 },
          { t: 1, value: 2 },
          { t: 1, value: 3 },
        ],
        0,
      ),
    ).toBeNull();
  });
});

describe("binReadings", () => {
  it("keeps the mean, in at most sixty bins, of the window only", () => {
    const points = scene((s) => 20 + s / 600, 1200);
    const { bins, n, spanMin } = binReadings(points, 1_200_000, 600_000);
    expect(n).toBe(600);
    expect(spanMin).toBeCloseTo(599 / 60, 9);
    expect(bins).toHaveLength(60);
    const inside = points.slice(-600);
    const mean = inside.reduce((sum, { value }) => sum + value, 0) / 600;
    expect(bins.reduce((sum, { value }) => sum + value, 0) / 60).toBeCloseTo(mean, 9);
    expect(bins.every(({ t }, i) => t <= 0 && t > (bins[i - 1]?.t ?? -10))).toBe(true);
  });

  it("estimates the noise of a bin without being misled by a slope", () => {
    const noise = 0.1;
    const points = scene((s) => 20 + s / 60, 600, { noise });
    const { binNoise } = binReadings(points, 600_000, 600_000);
    // Ten readings a bin; the steps of the probe add 0.0625/√12 to the noise of each reading.
    const expected = Math.sqrt((noise ** 2 + 0.0625 ** 2 / 12) / 10);
    expect(binNoise / expected).toBeGreaterThan(0.85);
    expect(binNoise / expected).toBeLessThan(1.15);
  });

  it("leaves readings of the future out", () => {
    const points = scene(() => 20, 100);
    expect(binReadings(points, 50_000, 600_000).n).toBe(51);
  });
});

describe("intervalFactor", () => {
  // Source: Student's t at 0.975, the usual table, from memory.
  it.each([
    [1, 12.706],
    [2, 4.303],
    [5, 2.571],
    [10, 2.228],
    [15, 2.131],
    [30, 2.042],
    [120, 1.98],
  ])("of %d degrees of freedom is %d within 0.03", (dof, t) => {
    expect(Math.abs(intervalFactor(dof) - t)).toBeLessThan(0.03);
  });
});
