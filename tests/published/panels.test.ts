import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { bendingModulus, bendingStrength, departures, standardSpanMm } from "../../station/trials/bending.js";
import { density, measured } from "../../station/trials/sheet-stock.js";

const PIECE = { spanMm: 100, widthMm: 50, thicknessMm: 3 };

describe("bending after EN 310", () => {
  it("has the strength and the modulus of a figure worked by hand", () => {
    // 3 · 120 N · 100 mm / (2 · 50 mm · 9 mm²) = 40 N/mm²; 10⁶ mm³ · 36 N / (4 · 50 mm · 27 mm³ · 2 mm) = 3333.3 N/mm².
    expect(bendingStrength(PIECE, 120)).toBeCloseTo(40, 12);
    expect(bendingModulus(PIECE, { lowN: 12, highN: 48, lowMm: 1, highMm: 3 })).toBeCloseTo(10_000 / 3, 9);
  });

  it("gives back the modulus of a beam that bends as Euler and Bernoulli have it, and the stress at its face", () => {
    const positive = (max: number) => fc.double({ min: 0.5, max, noNaN: true });
    fc.assert(
      fc.property(
        positive(900),
        positive(80),
        positive(20),
        positive(9000),
        (spanMm, widthMm, thicknessMm, modulus) => {
          const piece = { spanMm, widthMm, thicknessMm };
          const inertia = (widthMm * thicknessMm ** 3) / 12;
          // A load F in the middle of a beam on two supports: F l³ / (48 E I) down, F l / 4 of moment.
          const deflection = (load: number) => (load * spanMm ** 3) / (48 * modulus * inertia);
          const slope = { lowN: 10, highN: 40, lowMm: deflection(10), highMm: deflection(40) };
          expect(bendingModulus(piece, slope) / modulus).toBeCloseTo(1, 9);
          const stress = (((40 * spanMm) / 4) * (thicknessMm / 2)) / inertia;
          expect(bendingStrength(piece, 40) / stress).toBeCloseTo(1, 12);
        },
      ),
    );
  });

  it("says in what a piece is not one of the standard (sizes from memory of it)", () => {
    expect([3, 4, 18, 60].map(standardSpanMm)).toEqual([100, 100, 360, 1000]);
    expect(departures(PIECE, 3)).toEqual([]);
    expect(departures({ spanMm: 60, widthMm: 20, thicknessMm: 2 }, 2)).toEqual([
      "EN 310 is for boards of 3 mm and more",
      "it is 20 mm wide, in EN 310 50 mm",
      "the span is 60 mm, in EN 310 100 mm for this thickness",
    ]);
  });

  it("is refused for what cannot be", () => {
    expect(() => bendingStrength({ ...PIECE, spanMm: 0 }, 5)).toThrow(/above 0 mm/);
    expect(() => bendingStrength(PIECE, Number.NaN)).toThrow(/0 N or more/);
    expect(() => bendingModulus(PIECE, { lowN: 5, highN: 9, lowMm: 1, highMm: 1 })).toThrow(/more of both/);
  });
});

describe("density after EN 323", () => {
  it("is mass over volume in kg/m³: water's 1 g a cubic centimetre is 1000", () => {
    expect(density(1, [10, 10], 10)).toBeCloseTo(1000, 9);
    // A square of 50 mm, 3 mm thick, of 5.625 g, worked by hand: 5.625 g / 7.5 cm³.
    expect(density(5.625, [50, 50], 3)).toBeCloseTo(750, 9);
    expect(() => density(5, [50, 0], 3)).toThrow(RangeError);
  });
});

describe("a thickness that is measured at several points", () => {
  it("has the mean and the sample standard deviation, and no spread from one point", () => {
    // Textbook figures: 2, 4, 4, 4, 5, 5, 7, 9 have the mean 5 and squares of 32 about it.
    const { mean, sd, n, least, most } = measured([2, 4, 4, 4, 5, 5, 7, 9]);
    expect({ mean, n, least, most }).toEqual({ mean: 5, n: 8, least: 2, most: 9 });
    expect(sd).toBeCloseTo(Math.sqrt(32 / 7), 12);
    expect(measured([2.9]).sd).toBeNull();
    expect(() => measured([])).toThrow(RangeError);
    expect(() => measured([3, 0])).toThrow(RangeError);
  });
});
