import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { type FirthFit, fitFirth } from "../../../station/review/firth.js";
import { type FirthData, firthDesign } from "../../../station/review/firth-design.js";
import { firthLimits } from "../../../station/review/firth-limits.js";
import { fitFirthLine, tally } from "../../../station/review/firth-line.js";
import { maximise } from "../../../station/review/firth-maximum.js";
import { firthTest, firthTestOfAll } from "../../../station/review/firth-test.js";
import { INTERCEPT } from "../../../station/review/intercept.js";

const of = (fit: FirthFit, term: string) =>
  fit.coefficients.find((one) => one.term === term)?.estimate ?? Number.NaN;
const p = (fit: FirthFit, ...terms: string[]) => firthTest(fit, terms).p ?? Number.NaN;

/** A few runs with three conditions, whole steps so that some are alike. */
const fewRuns = fc
  .array(
    fc.tuple(fc.integer({ min: 0, max: 6 }), fc.integer({ min: 0, max: 3 }), fc.boolean(), fc.boolean()),
    {
      minLength: 8,
      maxLength: 24,
    },
  )
  .map((rows) => ({
    terms: [
      { name: "a", values: rows.map(([a]) => a) },
      { name: "b", values: rows.map(([, b]) => b) },
      { name: "c", values: rows.map(([, , c]) => (c ? 1 : 0)) },
    ],
    outcomes: rows.map(([, , , outcome]) => outcome),
  }))
  .filter((data) => firthDesign(data).kept.length === 3);

describe("Firth's regression", () => {
  it("of one term is the line that the threshold of a lot goes by", () => {
    fc.assert(
      fc.property(fewRuns, ({ terms, outcomes }) => {
        const [a] = terms;
        fc.pre(new Set(a?.values).size > 1);
        const fit = fitFirth({ terms: [{ name: "a", values: a?.values ?? [] }], outcomes });
        const line = fitFirthLine(tally((a?.values ?? []).map((x, i) => ({ x, hit: outcomes[i] === true }))));
        // Both stop where nothing is left to win, and not at the same digit: slopes can be of any size.
        const isNear = (value: number | null, other: number | undefined) =>
          value !== null && other !== undefined && Math.abs(value - other) <= 1e-6 * (1 + Math.abs(other));
        expect(isNear(of(fit, "a"), line?.slope)).toBe(true);
        expect(isNear(of(fit, INTERCEPT), line?.intercept)).toBe(true);
        expect(isNear(fit.penalised, line?.penalised)).toBe(true);
      }),
    );
  });

  it("does not change with the units of the terms, nor with where they are counted from", () => {
    fc.assert(
      fc.property(
        fewRuns,
        fc.double({ min: -1e4, max: 1e4, noNaN: true }),
        fc.integer({ min: -6, max: 6 }),
        (data, shift, log) => {
          const scale = 10 ** log;
          const here = fitFirth(data);
          const moved = data.terms.map(({ name, values }) => ({
            name,
            values: values.map((v) => (v + shift) * scale),
          }));
          const there = fitFirth({ ...data, terms: moved });
          for (const term of ["a", "b", "c"]) {
            expect(of(there, term) * scale).toBeCloseTo(of(here, term), 6);
            expect(p(there, term)).toBeCloseTo(p(here, term), 6);
          }
        },
      ),
      { numRuns: 60, seed: 1 },
    );
  });

  it("does not change with the order of the rows, and turns round with the outcomes", () => {
    fc.assert(
      fc.property(fewRuns, (data) => {
        const here = fitFirth(data);
        const back = <T>(values: readonly T[]) => [...values].reverse();
        const turned = fitFirth({
          terms: data.terms.map(({ name, values }) => ({ name, values: back(values) })),
          outcomes: back(data.outcomes),
        });
        const swapped = fitFirth({ ...data, outcomes: data.outcomes.map((outcome) => !outcome) });
        for (const term of [INTERCEPT, "a", "b", "c"]) {
          expect(of(turned, term)).toBeCloseTo(of(here, term), 7);
          expect(of(swapped, term)).toBeCloseTo(-of(here, term), 7);
          expect(p(swapped, term)).toBeCloseTo(p(here, term), 7);
          const [one, other] = [firthLimits(here, term), firthLimits(swapped, term)];
          expect(other.lower ?? 0).toBeCloseTo(-(one.upper ?? 0), 3);
        }
      }),
      { numRuns: 60, seed: 2 },
    );
  });

  it("has limits where a test of just that coefficient gives what they leave", () => {
    fc.assert(
      fc.property(fewRuns, fc.constantFrom("a", "b", "c"), (data, term) => {
        const { lower, upper, estimate } = firthLimits(fitFirth(data), term, 0.9);
        expect(lower).toBeLessThan(estimate as number);
        expect(upper).toBeGreaterThan(estimate as number);
        const values = data.terms.find(({ name }) => name === term)?.values as number[];
        for (const limit of [lower, upper]) {
          const offset = values.map((value) => value * (limit as number));
          expect(p(fitFirth({ ...data, offset }), term)).toBeCloseTo(0.1, 5);
        }
      }),
      { numRuns: 60, seed: 3 },
    );
  });

  it("counts a row of weight 3 as three rows, and one of weight 0 not at all", () => {
    const x = [1, 2, 3, 4, 5, 9];
    const outcomes = [false, true, false, true, true, false];
    const weights = [3, 1, 2, 1, 1, 0];
    const weighted = fitFirth({ terms: [{ name: "x", values: x }], outcomes, weights });
    const rows = weights.flatMap((weight, i) => Array.from({ length: weight }, () => i));
    const repeated = fitFirth({
      terms: [{ name: "x", values: rows.map((i) => x[i] as number) }],
      outcomes: rows.map((i) => outcomes[i] as boolean),
    });
    expect(of(weighted, "x")).toBeCloseTo(of(repeated, "x"), 9);
    expect(weighted.penalised).toBeCloseTo(repeated.penalised ?? Number.NaN, 9);
    expect([weighted.n, repeated.n]).toEqual([5, 8]);
  });

  it("takes what is known beforehand off the estimate", () => {
    const x = [1, 2, 3, 4, 5, 6, 7];
    const outcomes = [false, true, false, true, false, true, true];
    const plain = fitFirth({ terms: [{ name: "x", values: x }], outcomes });
    const known = fitFirth({
      terms: [{ name: "x", values: x }],
      outcomes,
      offset: x.map((each) => 2 + 0.5 * each),
    });
    expect(of(known, "x")).toBeCloseTo(of(plain, "x") - 0.5, 8);
    expect(of(known, INTERCEPT)).toBeCloseTo(of(plain, INTERCEPT) - 2, 8);
  });

  it("has the curvature that differences of its score have", () => {
    const random = createRandom(5);
    const values = () => Array.from({ length: 12 }, random);
    const data: FirthData = {
      terms: [
        { name: "a", values: values() },
        { name: "b", values: values() },
      ],
      outcomes: values().map((value) => value > 0.4),
      weights: values(),
    };
    const design = firthDesign(data);
    const place = [0.3, -0.8, 1.1];
    // Nothing is free, so that score and curvature are those of the place itself.
    const scoreAt = (at: readonly number[]) =>
      maximise(design, new Float64Array(at), [], 1)?.score as Float64Array;
    const beside = (k: number, by: number) => scoreAt(place.map((each, i) => (i === k ? each + by : each)));
    const start = new Float64Array(place);
    const one = maximise(design, start, [0, 1, 2], 1e9);
    for (let k = 0; k < 3; k++) {
      const [up, down] = [beside(k, 1e-5), beside(k, -1e-5)];
      for (let j = 0; j < 3; j++) {
        const slope = ((up[j] as number) - (down[j] as number)) / 2e-5;
        expect(one?.curvature[j * 3 + k]).toBeCloseTo(-slope, 6);
      }
    }
  });
});

describe("what Firth's regression cannot tell", () => {
  const coolant = [18, 18.5, 19, 19.5, 20, 20.5, 21, 21.5];
  const outcomes = [true, true, false, true, true, false, false, false];
  const c = { name: "coolant", values: coolant };

  it("is named: a term that never changed", () => {
    const fit = fitFirth({ terms: [c, { name: "power", values: coolant.map(() => 60) }], outcomes });
    expect(fit.constant).toEqual(["power"]);
    expect(fit.warnings).toEqual(['"power" was the same in every row: what it does cannot be told.']);
    expect(of(fit, "coolant")).toBeCloseTo(of(fitFirth({ terms: [c], outcomes }), "coolant"), 9);
    expect(of(fit, "power")).toBeNaN();
    expect(firthTest(fit, ["power"])).toMatchObject({
      p: null,
      chiSquare: null,
      freedom: 0,
      warnings: fit.warnings,
    });
    expect(firthLimits(fit, "power")).toMatchObject({
      estimate: null,
      lower: null,
      upper: null,
      warnings: fit.warnings,
    });
    expect(firthTest(fit, ["coolant", "power"])).toMatchObject({ p: p(fit, "coolant"), freedom: 1 });
    expect(firthLimits(fit, INTERCEPT).estimate).toBeNull();
  });

  it("is named: terms that moved together, which can still be tested as one", () => {
    const room = { name: "room", values: coolant.map((value) => value * 1.8 + 32) };
    const other = { name: "focus", values: [0, 1, 1, 0, 1, 0, 0, 1] };
    const fit = fitFirth({ terms: [c, other, room], outcomes });
    const apart = fitFirth({ terms: [c, other], outcomes });
    expect(fit.inseparable).toEqual([["coolant", "room"]]);
    expect(fit.warnings).toEqual(['"coolant" and "room" always moved together: they cannot be told apart.']);
    expect(of(fit, "focus")).toBeCloseTo(of(apart, "focus"), 8);
    expect(p(fit, "focus")).toBeCloseTo(p(apart, "focus"), 8);
    expect(p(fit, "coolant", "room")).toBeCloseTo(p(apart, "coolant"), 8);
    expect(firthTest(fit, ["coolant", "room"]).freedom).toBe(1);
    expect(firthTest(fit, ["coolant"]).p).toBeNull();
    expect(firthTest(fit, ["coolant", "focus"]).p).toBeNull();
    expect(firthTestOfAll(fit)).toMatchObject({ freedom: 2 });
  });

  it("is named: a term that is the sum of two others, but not a fourth", () => {
    const a = [1, 2, 3, 4, 1, 3, 2, 2];
    const b = [2, 1, 1, 3, 3, 2, 5, 4];
    const sum = a.map((value, i) => value + (b[i] as number));
    const fit = fitFirth({
      terms: [{ name: "a", values: a }, { name: "b", values: b }, c, { name: "sum", values: sum }],
      outcomes,
    });
    expect(fit.inseparable).toEqual([["a", "b", "sum"]]);
    expect(firthTest(fit, ["a", "b", "sum"]).freedom).toBe(2);
    expect(firthLimits(fit, "coolant").lower).not.toBeNull();
  });

  it("leaves forty conditions and ten runs without a verdict, not without an answer", () => {
    const random = createRandom(9);
    const terms = Array.from({ length: 40 }, (_, k) => ({
      name: `c${k}`,
      values: Array.from({ length: 10 }, random),
    }));
    const fit = fitFirth({ terms, outcomes: Array.from({ length: 10 }, () => random() < 0.5) });
    expect(fit.inseparable.flat()).toHaveLength(40);
    expect(firthTest(fit, ["c3"]).p).toBeNull();
  });

  it("is no reason to fail: no rows, one row, every outcome the same", () => {
    const none = fitFirth({ terms: [{ name: "x", values: [] }], outcomes: [] });
    expect(none).toMatchObject({ n: 0, penalised: null, warnings: ["There are no rows to fit."] });
    expect(firthTest(none, ["x"]).p).toBeNull();
    expect(firthLimits(none, "x").estimate).toBeNull();
    const one = fitFirth({ terms: [{ name: "x", values: [3] }], outcomes: [true] });
    expect(one.constant).toEqual(["x"]);
    const same = fitFirth({ terms: [c], outcomes: coolant.map(() => true) });
    expect(same.warnings).toEqual(["Every outcome was the same: nothing can be told of what changes it."]);
    expect(Number.isFinite(of(same, "coolant"))).toBe(true);
  });

  it("has estimates however far apart the outcomes are, and for very many rows", () => {
    const far = fitFirth({
      terms: [{ name: "x", values: [1, 2, 3, 1e9, 2e9, 3e9] }],
      outcomes: [false, false, false, true, true, true],
    });
    expect(of(far, "x")).toBeGreaterThan(0);
    expect(firthLimits(far, "x").lower).not.toBeNull();
    const random = createRandom(11);
    const values = Array.from({ length: 10_000 }, random);
    const many = fitFirth({
      terms: [{ name: "x", values }],
      outcomes: values.map((x) => random() < 1 / (1 + Math.exp(1 - 3 * x))),
    });
    const { lower, upper } = firthLimits(many, "x", 0.999);
    expect(lower).toBeLessThan(3);
    expect(upper).toBeGreaterThan(3);
  });

  it("has an intercept however far its terms lie from 0, and estimates of terms that all but moved together", () => {
    const random = createRandom(13);
    const pressure = Array.from({ length: 14 }, () => 101_300 + random());
    const level = {
      terms: [{ name: "pressure", values: pressure }],
      outcomes: pressure.map(() => random() < 0.4),
    };
    const far = fitFirth(level);
    const { estimate, lower, upper } = firthLimits(far, INTERCEPT);
    expect(estimate).toBeCloseTo(of(far, INTERCEPT), 3);
    // 14 pieces at one place 101,300 units away: the intercept is as vague as the slope is, that many times over.
    const slope = firthLimits(far, "pressure");
    expect((upper as number) - (lower as number)).toBeGreaterThan(
      100_000 * ((slope.upper as number) - (slope.lower as number)),
    );
    expect(firthTest(far, [INTERCEPT]).p).toBeCloseTo(p(far, "pressure"), 2);
    const x = [1, 2, 3, 4, 5, 6];
    const close = fitFirth({
      terms: [
        { name: "x", values: x },
        { name: "y", values: x.map((each, i) => each + (i % 2) * 1e-3) },
      ],
      outcomes: [false, false, false, true, true, true],
    });
    expect(close.inseparable).toEqual([]);
    expect(p(close, "x", "y")).toBeLessThan(0.2);
    expect(p(close, "x")).toBeGreaterThan(0.5);
    expect(firthLimits(close, "x").lower).toBeLessThan(-1000);
  });

  it("takes no row with something missing, and says which", () => {
    expect(() =>
      fitFirth({ terms: [{ name: "x", values: [1, Number.NaN] }], outcomes: [true, false] }),
    ).toThrow(
      'The term "x" must be numbers throughout: row 2 has NaN. Leave rows with something missing out.',
    );
    expect(() => fitFirth({ terms: [{ name: "x", values: [1] }], outcomes: [true, false] })).toThrow(
      RangeError,
    );
    expect(() => fitFirth({ terms: [c, c], outcomes })).toThrow("Every term has a name of its own.");
    expect(() => fitFirth({ terms: [c], outcomes, weights: coolant.map(() => -1) })).toThrow(
      "A weight is 0 or more.",
    );
    const fit = fitFirth({ terms: [c], outcomes });
    expect(() => firthTest(fit, ["room"])).toThrow('No term is called "room".');
    expect(() => firthTest(fit, [])).toThrow(RangeError);
    expect(() => firthTest(fit, [INTERCEPT, "coolant"])).toThrow("The intercept is tested alone.");
    expect(() => firthLimits(fit, "coolant", 1)).toThrow(RangeError);
  });
});
