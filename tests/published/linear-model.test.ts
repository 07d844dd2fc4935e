import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { INTERCEPT } from "../../station/review/intercept.js";
import { fTest, linearModel } from "../../station/review/linear-model.js";
import { fTail, studentTails } from "../../station/review/tails.js";

/** NIST Statistical Reference Datasets, linear regression, Norris (J. Norris, calibration of ozone monitors): certified values. */
const NORRIS_Y = [
  0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3,
  448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6,
  228.9, 668.4, 449.2, 0.2,
];
const NORRIS_X = [
  0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
  447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3,
  229.2, 669.1, 448.9, 0.5,
];

/** E. W. Crampton's guinea pigs, 1947: length of odontoblasts by supplement (orange juice, or ascorbic acid) and dose; R's ToothGrowth. */
const TEETH: readonly (readonly [supplement: "VC" | "OJ", dose: number, lengths: readonly number[]])[] = [
  ["VC", 0.5, [4.2, 11.5, 7.3, 5.8, 6.4, 10.0, 11.2, 11.2, 5.2, 7.0]],
  ["VC", 1, [16.5, 16.5, 15.2, 17.3, 22.5, 17.3, 13.6, 14.5, 18.8, 15.5]],
  ["VC", 2, [23.6, 18.5, 33.9, 25.5, 26.4, 32.5, 26.7, 21.5, 23.3, 29.5]],
  ["OJ", 0.5, [15.2, 21.5, 17.6, 9.7, 14.5, 10.0, 8.2, 9.4, 16.5, 9.7]],
  ["OJ", 1, [19.7, 23.3, 23.6, 26.4, 20.0, 25.2, 25.8, 21.2, 14.5, 27.3]],
  ["OJ", 2, [25.5, 26.4, 22.4, 24.5, 24.8, 30.9, 26.4, 27.3, 29.4, 23.0]],
];

/** A. J. Dobson, An Introduction to Statistical Modelling, 1983: dried weights of plants under a control and two treatments; R's PlantGrowth. */
const PLANTS = {
  ctrl: [4.17, 5.58, 5.18, 6.11, 4.5, 4.61, 5.17, 4.53, 5.33, 5.14],
  trt1: [4.81, 4.17, 4.41, 3.59, 5.87, 3.83, 6.03, 4.89, 4.32, 4.69],
  trt2: [6.31, 5.12, 5.54, 5.5, 5.37, 5.29, 4.92, 6.15, 5.8, 5.26],
} as const;

describe("least squares", () => {
  it("has NIST's certified Norris", () => {
    const model = linearModel(NORRIS_Y, [{ name: "x", values: NORRIS_X }]);
    const [intercept, slope] = model.coefficients;
    expect(intercept?.estimate).toBeCloseTo(-0.262323073774029, 11);
    expect(intercept?.error).toBeCloseTo(0.232818234301152, 11);
    expect(slope?.estimate).toBeCloseTo(1.00211681802045, 13);
    expect(slope?.error).toBeCloseTo(0.000429796848199937, 14);
    expect(model.sigma).toBeCloseTo(0.884796396144373, 11);
    expect(model.squares).toBeCloseTo(26.6173985294224, 9);
    expect(model).toMatchObject({ n: 36, freedom: 34 });
    const none = linearModel(NORRIS_Y, []);
    expect((fTest(none, model)?.f ?? 0) / 5436385.54079785).toBeCloseTo(1, 10);
  });

  /** R 4.2.2, lm(len ~ supp + dose), and emmeans 1.8.4.1 for the adjusted means at the mean dose. */
  it("has R's analysis of covariance of the guinea pigs' teeth, with its adjusted means", () => {
    const rows = TEETH.flatMap(([supplement, dose, lengths]) =>
      lengths.map((y) => ({ supplement, dose, y })),
    );
    const y = rows.map((row) => row.y);
    const acid = { name: "VC", values: rows.map(({ supplement }) => (supplement === "VC" ? 1 : 0)) };
    const dose = { name: "dose", values: rows.map((row) => row.dose) };
    const model = linearModel(y, [acid, dose]);
    expect(model.coefficients.map(({ name }) => name)).toEqual([INTERCEPT, "VC", "dose"]);
    const expected = [
      [9.2725, 1.28236494523084, 1.3123345292929e-9],
      [-3.7, 1.09360449981015, 0.00130066247399747],
      [9.76357142857143, 0.876834290340831, 6.31351904531966e-16],
    ] as const;
    for (const [i, [estimate, error, p]] of expected.entries()) {
      expect(model.coefficients[i]?.estimate).toBeCloseTo(estimate, 11);
      expect(model.coefficients[i]?.error).toBeCloseTo(error, 11);
      expect((model.coefficients[i]?.p ?? 0) / p).toBeCloseTo(1, 7);
    }
    expect(model.sigma).toBeCloseTo(4.23551201510221, 11);
    expect(model.at([0, 7 / 6])).toMatchObject({
      estimate: expect.closeTo(20.6633333333333, 10),
      error: expect.closeTo(0.773295157751881, 10),
      lower: expect.closeTo(19.1148364900982, 7),
      upper: expect.closeTo(22.2118301765685, 7),
    });
    expect(model.at([1, 7 / 6])?.estimate).toBeCloseTo(16.9633333333333, 10);
    const withoutDose = fTest(linearModel(y, [acid]), model);
    expect(withoutDose?.f).toBeCloseTo(123.988773744312, 8);
    expect((withoutDose?.p ?? 0) / 6.3135190453197e-16).toBeCloseTo(1, 6);
  });

  /** R 4.2.2, lm(weight ~ group) and its analysis of variance. */
  it("has R's one-way analysis of the plants", () => {
    const groups = Object.entries(PLANTS);
    const y = groups.flatMap(([, weights]) => [...weights]);
    const of = (name: string) => ({
      name,
      values: groups.flatMap(([group, weights]) => weights.map(() => (group === name ? 1 : 0))),
    });
    const model = linearModel(y, [of("trt1"), of("trt2")]);
    expect(model.coefficients.map(({ estimate }) => estimate)).toEqual(
      [5.032, -0.371, 0.494].map((value) => expect.closeTo(value, 12)),
    );
    expect(model.coefficients[1]?.p).toBeCloseTo(0.194387880054303, 11);
    expect(model.sigma).toBeCloseTo(0.623374627271536, 12);
    const all = fTest(linearModel(y, []), model);
    expect(all).toMatchObject({ above: 2, below: 27, f: expect.closeTo(4.84608786238013, 10) });
    expect(all?.p).toBeCloseTo(0.0159099583256229, 12);
  });

  it("leaves out what cannot be told apart, says which, and changes nothing for the rest", () => {
    const x = [1, 2, 3, 4, 5, 6];
    const y = [1.1, 1.9, 3.2, 3.9, 5.1, 5.8];
    const alone = linearModel(y, [{ name: "x", values: x }]);
    const more = linearModel(y, [
      { name: "same all along", values: x.map(() => 3) },
      { name: "x", values: x },
      { name: "x again", values: x.map((value) => 10 * value - 3) },
    ]);
    expect(more.warnings).toEqual([
      "Cannot be told apart from what stands before it: same all along, x again.",
    ]);
    expect(more.coefficients[1]).toMatchObject({ estimate: null, p: null });
    expect(more.coefficients[2]).toEqual(alone.coefficients[1]);
    // Of the kind that was seen the model tells, of any other not.
    expect(more.at([3, 2, 17])?.estimate).toBeCloseTo(alone.at([2])?.estimate ?? 0, 9);
    expect(more.at([3, 2, 16])).toBeNull();
    expect(more.at([4, 2, 17])).toBeNull();
    expect(more.at([3, 2])).toBeNull();
    const fits = linearModel([2, 4, 6], [{ name: "x", values: [1, 2, 3] }]);
    expect(fits).toMatchObject({ sigma: null, squares: 0 });
    expect(fits.warnings[0]).toMatch(/^Everything fits/);
    expect(fits.coefficients[1]).toMatchObject({ estimate: expect.closeTo(2, 12), p: null });
    expect(linearModel([1, 2], [{ name: "x", values: [1, 2] }])).toMatchObject({ sigma: null, freedom: 0 });
    expect(() => linearModel([1, 2], [{ name: "x", values: [1] }])).toThrow(RangeError);
    expect(() => linearModel([1, Number.NaN], [])).toThrow(RangeError);
  });

  it("moves and scales with its units", () => {
    const tenths = fc.integer({ min: -30, max: 30 }).map((value) => value / 10);
    const data = fc.array(fc.record({ x: tenths, y: tenths }), { minLength: 4, maxLength: 20 });
    fc.assert(
      fc.property(data, (rows) => {
        const spread = Math.max(...rows.map(({ x }) => x)) - Math.min(...rows.map(({ x }) => x));
        fc.pre(spread > 0.1);
        const model = linearModel(
          rows.map(({ y }) => y),
          [{ name: "x", values: rows.map(({ x }) => x) }],
        );
        const other = linearModel(
          rows.map(({ y }) => 1000 * y + 5),
          [{ name: "x", values: rows.map(({ x }) => 0.01 * x + 273) }],
        );
        const [a, b] = [model.coefficients[1], other.coefficients[1]];
        expect((b?.estimate ?? 0) / 1e5).toBeCloseTo(a?.estimate ?? 0, 5);
        if (a?.p != null && b?.p != null) expect(b.p).toBeCloseTo(a.p, 4);
      }),
    );
  });
});

describe("tails of t and F", () => {
  /** M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, Tables 26.10 and 26.9 (from memory). */
  it("have the handbook's points", () => {
    for (const [freedom, t] of [
      [1, 12.7062],
      [5, 2.5706],
      [10, 2.2281],
      [120, 1.9799],
    ] as const)
      expect(studentTails(t, freedom)).toBeCloseTo(0.05, 5);
    for (const [above, below, f] of [
      [1, 1, 161.45],
      [2, 10, 4.1028],
      [5, 20, 2.7109],
    ] as const)
      expect(fTail(f, above, below)).toBeCloseTo(0.05, 4);
    expect(fTail(0, 2, 3)).toBe(1);
    expect(studentTails(0, 4)).toBeCloseTo(1, 12);
  });
});
