import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { nest, partCost } from "../../../station/trials/cost.js";

const SHEET = { lengthMm: 600, widthMm: 400 };

describe("parts from a sheet", () => {
  it.each([
    // Worked by hand: 5 · 3 with nothing between them. With gaps 5 · 116 + 4 · 5 is just 600, and a millimetre more too much.
    [{ lengthMm: 120, widthMm: 130 }, 0, 0, { parts: 15, turned: false }],
    [{ lengthMm: 116, widthMm: 130 }, 5, 0, { parts: 15, turned: false }],
    [{ lengthMm: 117, widthMm: 130 }, 5, 0, { parts: 12, turned: false }],
    // 600 / 250 · 400 / 100 is 2 · 4; the other way 600 / 100 · 400 / 250 is 6 · 1.
    [{ lengthMm: 250, widthMm: 100 }, 0, 0, { parts: 8, turned: false }],
    [{ lengthMm: 100, widthMm: 250 }, 0, 0, { parts: 8, turned: true }],
    // 598 / 300 · 398 / 200 is 1 · 1; the other way 598 / 200 · 398 / 300 is 2 · 1.
    [{ lengthMm: 300, widthMm: 200 }, 0, 1, { parts: 2, turned: true }],
    [{ lengthMm: 700, widthMm: 10 }, 0, 0, { parts: 0, turned: false }],
  ])("of %o with gaps of %d and edges of %d mm: %o", (part, gap, edge, expected) => {
    const { parts, turned, offcut } = nest(SHEET, part, gap, edge);
    expect({ parts, turned }).toEqual(expected);
    expect(offcut).toBeCloseTo(1 - (parts * part.lengthMm * part.widthMm) / 240_000, 12);
  });

  it("are never more than their area allows, nor fewer for a part that is turned or a sheet that is larger", () => {
    const side = fc.integer({ min: 5, max: 500 });
    fc.assert(
      fc.property(side, side, fc.nat(20), fc.nat(20), (lengthMm, widthMm, gap, edge) => {
        const { parts, offcut } = nest(SHEET, { lengthMm, widthMm }, gap, edge);
        expect(offcut).toBeGreaterThanOrEqual(0);
        expect(nest(SHEET, { lengthMm: widthMm, widthMm: lengthMm }, gap, edge).parts).toBe(parts);
        const larger = { lengthMm: 700, widthMm: 400 };
        expect(nest(larger, { lengthMm, widthMm }, gap, edge).parts).toBeGreaterThanOrEqual(parts);
      }),
    );
  });
});

describe("what a good part costs", () => {
  const costs = {
    ...{ sheetPrice: 9, delivery: 20, sheetsOrdered: 10, partsFromSheet: 11 },
    ...{ laserMinutes: 2, laserPerMinute: 0.1, finishingMinutes: 3, finishingPerMinute: 0.4, badShare: 0.2 },
  };

  it("is material with its share of the delivery, laser and finishing, the bad ones paid for by the good", () => {
    const { material, laser, finishing, goodPart } = partCost(costs);
    expect([material, laser, finishing].map((each) => Math.round(each * 1e9) / 1e9)).toEqual([1, 0.2, 1.2]);
    expect(goodPart).toBeCloseTo(2.4 / 0.8, 12);
  });

  it("is refused where there is none", () => {
    expect(() => partCost({ ...costs, partsFromSheet: 0 })).toThrow(/one part or more/);
    expect(() => partCost({ ...costs, badShare: 1 })).toThrow(/not including, 1/);
  });
});
