import { describe, expect, it } from "vitest";
import { errorFactors, nextLevel, upAndDownEstimate } from "../../station/review/up-and-down.js";

/**
 * A. Ekaputra, R. T. Dewa, G. D. Haryadi and S. J. Kim, "Fatigue strength analysis of S34MnV steel by accelerated staircase test",
 * Open Engineering 10 (2020), pp. 394 to 400, doi 10.1515/eng-2020-0048: twelve specimens in steps of 20 MPa, seven survived, five
 * broke, two of them at 280 MPa and three at 300; the paper finds 282 MPa with a standard deviation of 10.6 MPa by the formulas of
 * Dixon and Mood in ISO 12107. The counts are the paper's, as a public program retells them; the order is one that keeps the rule.
 */
const STEEL = [260, 280, 300, 280, 260, 280, 300, 280, 260, 280, 300, 280];
const BROKE = [0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 0];

/**
 * M. S. Hamada, J. T. Mang and L. H. Hoff, "Should estimates be analyzed instead of the raw data?", Quality Engineering 2019, doi
 * 10.1080/08982112.2018.1551547, Table 1: 25 drops in steps of 0.05 in log10 of the height from 25.4 cm. Their probit fit by
 * maximum likelihood, of which Dixon and Mood's formulas are an approximation, has the mean 1.531691 and the deviation 0.073732.
 */
const PLACES = [0, 1, 0, 1, 2, 3, 2, 3, 4, 3, 2, 1, 2, 1, 2, 1, 2, 3, 4, 3, 2, 3, 4, 3, 4];
const WENT = [0, 1, 0, 0, 0, 1, 0, 0, 1, 1, 1, 0, 1, 0, 1, 0, 0, 0, 1, 1, 0, 0, 1, 0, 1];
const DROPS = PLACES.map((place, i) => ({ level: Math.log10(25.4) + 0.05 * place, response: WENT[i] === 1 }));

describe("Dixon and Mood's up-and-down method", () => {
  it("finds 282 MPa and 10.6 MPa in the steel's staircase, and says that its spread is a rule of thumb", () => {
    const answers = STEEL.map((level, i) => ({ level, response: BROKE[i] === 1 }));
    for (const [i, answer] of answers.slice(0, -1).entries())
      expect(nextLevel(answer, 20)).toBe(answers[i + 1]?.level);
    const found = upAndDownEstimate(answers, 20);
    expect(found).toMatchObject({ n: 5, counted: "responses", sdError: null });
    expect(found?.mean).toBeCloseTo(282, 9);
    expect(found?.sd).toBeCloseTo(10.6, 9);
    expect(found?.warnings.join()).toContain("smaller step");
  });

  it("comes near the maximum likelihood of the 25 drops: a third of its own error, and an eighth of the deviation", () => {
    const found = upAndDownEstimate(DROPS, 0.05);
    expect(found).toMatchObject({ n: 11, a: 21, b: 51 });
    expect(Math.abs((found?.mean ?? 0) - 1.531691)).toBeLessThan((found?.meanError ?? 0) / 3);
    expect((found?.sd ?? 0) / 0.073732).toBeCloseTo(1.12, 2);
  });

  it("finds the mirrored mean where levels and outcomes are mirrored, counting what did not respond", () => {
    const turned = DROPS.map(({ level, response }) => ({ level: -level, response: !response }));
    const found = upAndDownEstimate(turned, 0.05);
    expect(found?.counted).toBe("no responses");
    expect(found?.mean).toBeCloseTo(-(upAndDownEstimate(DROPS, 0.05)?.mean ?? 0), 12);
  });

  it("has the paper's curve G: √π/2 for small steps, and 0.961 for a step of 1/1.52 deviations (table of GJB/Z 377A-94)", () => {
    expect(errorFactors(0.01, 0).g).toBeCloseTo(Math.sqrt(Math.PI) / 2, 2);
    expect(errorFactors(1 / 1.52, 0.2).g).toBeCloseTo(0.961, 2);
    // The paper reads it as 1 where the step is one deviation (from memory).
    expect(errorFactors(1, 0.3).g).toBeCloseTo(1, 2);
  });

  it("tells nothing where one outcome never came, and refuses levels that are no steps apart", () => {
    expect(upAndDownEstimate([{ level: 1, response: true }], 1)).toBeNull();
    const odd = [
      { level: 1, response: true },
      { level: 1.4, response: false },
    ];
    expect(() => upAndDownEstimate(odd, 1)).toThrow(/whole number of steps/);
    expect(() => upAndDownEstimate(odd, 0)).toThrow(RangeError);
  });
});
