import { describe, expect, it } from "vitest";
import { fieller } from "../../station/review/fieller.js";
import { fitFirth } from "../../station/review/firth.js";
import { firthCovariance } from "../../station/review/firth-covariance.js";

/**
 * Source: tobacco budworm moths (D. Collett, Modelling Binary Data, 1991; W. N. Venables and B. D. Ripley, Modern Applied Statistics with S,
 * section 7.2): logit of alive on the logarithm of the dose and sex. Coefficients, covariance and the roots of Fieller's equation for
 * the ratio of the median doses were computed with R 4.2.2 (glm, vcov, uniroot).
 */
const IN_R = {
  slope: -1.53533621685,
  female: 1.100743363,
  variances: { slope: 0.0357606420671, female: 0.1266129470984 },
  covariance: -0.0187454646016,
  ratio: { estimate: 2.04815547418, lower: 1.31865009382, upper: 3.2580413304 },
};
const DEAD = [1, 4, 9, 13, 18, 20, 0, 2, 6, 10, 12, 16];

describe("the ratio of two coefficients", () => {
  it("has the limits that R finds by the roots of Fieller's equation", () => {
    const { estimate, lower, upper } = fieller(
      {
        of: IN_R.female,
        over: -IN_R.slope,
        ofVariance: IN_R.variances.female,
        overVariance: IN_R.variances.slope,
        covariance: -IN_R.covariance,
      },
      1.959963984540054,
    );
    expect(Math.exp(estimate as number)).toBeCloseTo(IN_R.ratio.estimate, 9);
    expect(Math.exp(lower as number)).toBeCloseTo(IN_R.ratio.lower, 8);
    expect(Math.exp(upper as number)).toBeCloseTo(IN_R.ratio.upper, 8);
  });

  it("has none where the second is not told from 0", () => {
    const vague = { of: 1, over: 1, ofVariance: 0.1, overVariance: 0.3, covariance: 0 };
    expect(fieller(vague, 1.96)).toEqual({ estimate: 1, lower: null, upper: null });
    expect(() => fieller({ ...vague, ofVariance: -1 }, 1.96)).toThrow(/Variances are 0 or more/);
    expect(() => fieller({ ...vague, covariance: 1 }, 1.96)).toThrow(/a covariance/);
    expect(() => fieller(vague, 0)).toThrow(/deviation/);
  });

  it("takes its covariance from the fit: R's, where each moth counts so often that the penalty is nothing", () => {
    const times = 1e5;
    const rows = DEAD.flatMap((dead, i) =>
      [false, true].map((alive) => ({
        alive,
        weight: (alive ? 20 - dead : dead) * times,
        log: (i % 6) * Math.log(2),
        female: i < 6 ? 0 : 1,
      })),
    );
    const fit = fitFirth({
      terms: [
        { name: "dose", values: rows.map(({ log }) => log) },
        { name: "female", values: rows.map(({ female }) => female) },
      ],
      outcomes: rows.map(({ alive }) => alive),
      weights: rows.map(({ weight }) => weight),
    });
    expect(fit.coefficients.map(({ estimate }) => estimate)).toEqual([
      expect.closeTo(2.37241194409, 4),
      expect.closeTo(IN_R.slope, 4),
      expect.closeTo(IN_R.female, 4),
    ]);
    expect((firthCovariance(fit, "dose", "female") as number) * times).toBeCloseTo(IN_R.covariance, 5);
    expect((firthCovariance(fit, "dose", "dose") as number) * times).toBeCloseTo(IN_R.variances.slope, 5);
    expect(() => firthCovariance(fit, "dose", "intercept")).toThrow(/not of the intercept/);
  });
});
