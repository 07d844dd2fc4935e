import { describe, expect, it } from "vitest";
import type { Lot } from "../../../station/model/lot.js";
import { viewLot } from "../../../station/trials/lot-view.js";
import { lotFocus } from "../../../station/trials/workshop.js";
import { lotFacts } from "./plan-bench.js";

function lot(number: number, changes: Parameters<typeof lotFacts>[0] = {}): Lot {
  return { id: `lot-${number}`, number, facts: lotFacts(changes), addedWall: 0 };
}

/** A 50.8 mm lens in a 6 mm beam: a waist of 0.137 mm, in focus 0.38 mm either way. */
const MACHINE = { lens_focal_mm: 50.8, beam_mm: 6, m2: 1.2, spacer_mm: 7, spacer_for_mm: 3 };

describe("the focus of a lot", () => {
  const thick = lot(1, { product: "Thick board", thickness_mm: [3.2, 3.3] });
  const thin = lot(2, { product: "Thin board", thickness_mm: [3.0, 3.0] });

  it("is a spacer by its measured thickness, and how far off the other lot's setting is", () => {
    const focus = lotFocus(MACHINE, thin, thick);
    expect(focus).toMatchObject({ spacerMm: 7, inFocus: true });
    expect(focus.errorMm).toBeCloseTo(-0.125, 10);
    expect(focus.sentence).toMatch(
      /^L2 Thin board, 3\.00 mm as measured: spacer 7\.00 mm\. With the head as it was set for L1 Thick board the focus is 0\.1[23] mm too high in the sheet, within/,
    );
  });

  it("says where it is beyond the depth of focus, and where it cannot tell", () => {
    const heavy = lot(3, { product: "Heavy board", thickness_mm: [6] });
    expect(lotFocus(MACHINE, heavy, thin)).toMatchObject({ spacerMm: 5.5, errorMm: 1.5, inFocus: false });
    expect(lotFocus({}, heavy, thin)).toMatchObject({ spacerMm: null, errorMm: 1.5, inFocus: null });
    expect(lotFocus(MACHINE, lot(4), thin)).toMatchObject({ spacerMm: null, errorMm: null, inFocus: null });
  });
});

describe("a lot", () => {
  it("is compared with the last of the same stock, each figure with the one before", () => {
    const piece = { piece_length_mm: 100, piece_width_mm: 50 };
    const first = lot(1, { thickness_mm: [3, 3.1, 3.2], sheet_price: 4, piece_g: 11.78, ...piece });
    const other = lot(2, { product: "Another" });
    const next = lot(3, {
      product: " quayside BOARD",
      thickness_mm: [2.85],
      sheet_price: 4.5,
      piece_g: 10,
      ...piece,
    });
    const view = viewLot(next, [next, other, first], []);
    expect(view.thickness).toMatchObject({ n: 1, mean: 2.85, sd: null });
    expect(view.density).toBeCloseTo(701.75, 1);
    expect(view.sinceLast).toEqual({
      lot: "L1 Quayside board",
      differences: [
        "Thickness 2.85 mm, 0.25 mm less than 3.10",
        "Density 702 kg/m³, 58 kg/m³ less than 760",
        "Price of a sheet 4.50, 0.50 more than 4.00",
      ],
    });
    expect(viewLot(first, [next, other, first], []).sinceLast).toBeNull();
  });

  it("that is never to be cut says so, whatever it was entered as", () => {
    const never = (product: string, stock: Lot["facts"]["stock"]) =>
      viewLot(lot(1, { product, stock }), [], []).cautions.some((each) => each.never);
    expect(never("Shiny PVC sheet", "other")).toBe(true);
    expect(never("PVC-faced board", "mdf")).toBe(true);
    expect(never("Quayside board", "mdf")).toBe(false);
    expect(never("Window sheet", "cast-acrylic")).toBe(false);
  });
});
