import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { MATERIAL_FAMILIES, readMaterial } from "../../../safety/materials.js";

const families = (text: string) =>
  MATERIAL_FAMILIES.filter((family) => readMaterial(text).families.has(family));

describe("a material as typed", () => {
  it.each([
    ["MDF 3 mm", ["board"]],
    ["3mmMDF", ["board"]],
    ["mr-mdf, 6.5mm", ["board"]],
    ["m.d.f.", ["board"]],
    ["Birch plywood", ["board"]],
    ["birch ply", ["board"]],
    ["cast ACRYLIC, fluorescent green", ["acrylic"]],
    ["PMMA", ["acrylic"]],
    ["cherry red acrylic", ["acrylic"]],
    ["American cherry", ["wood"]],
    ["oak veneer", ["wood"]],
    ["veneered MDF", ["board", "wood"]],
    ["corrugated cardboard", ["card"]],
    ["uPVC", ["chlorinated"]],
    ["P.V.C. sheet", ["chlorinated"]],
    ["p v c", ["chlorinated"]],
    ["ＰＶＣ", ["chlorinated"]],
    ["foamed PVC", ["chlorinated", "melting-plastics"]],
    ["Vinyl sticker", ["chlorinated"]],
    ["chlorinated rubber", ["chlorinated"]],
    ["polychloroprene", ["chlorinated"]],
    ["ethylene vinyl acetate", []],
    ["PTFE", ["fluorinated"]],
    ["ABS 2mm", ["cyanide-plastics"]],
    ["absolute black slate", []],
    ["poly-carbonate", ["cyanide-plastics"]],
    ["Poly vinyl chloride", ["chlorinated"]],
    ["poly bag", []],
    ["Polycarbonate", ["cyanide-plastics"]],
    ["PC sheet", ["cyanide-plastics"]],
    ["10 pc", []],
    ["carbon fibre", ["composites"]],
    ["carbon black acrylic", ["acrylic"]],
    ["FR4", ["composites"]],
    ["XPS foam", ["melting-plastics"]],
    ["pressure-treated pine", ["treated-timber"]],
    ["chrome-tanned leather", ["leather"]],
    ["veg-tan leather", ["leather"]],
    ["faux leather", ["may-be-pvc"]],
    ["PU leather", ["may-be-pvc"]],
    ["leatherette", ["may-be-pvc"]],
    ["anodised aluminium", []],
  ] as const)("%s is of %j", (text, expected) => {
    expect(families(text)).toEqual(expected);
  });

  it.each([
    "PVC-free foil",
    "PVC free foil",
    "non-PVC",
    "no vinyl",
    "free of PVC",
    "free from P.V.C.",
    "does not contain PVC",
    "doesn’t contain chlorine",
    "ABS-free",
  ])("%s says that something is not in it", (text) => {
    expect(readMaterial(text)).toMatchObject({ denied: true });
    expect(families(text)).toEqual([]);
  });

  it.each([
    "PVC-free?",
    "not sure, PVC",
    "no, PVC",
    "not only PVC",
    "lead-free PVC",
    "free PVC offcuts",
    "maybe not PVC?",
    "no ABS, PVC",
    "PVC free of lead? PVC",
  ])("%s is read for the worse", (text) => {
    expect(families(text)).toContain("chlorinated");
  });

  it("a denial of one thing hides nothing else", () => {
    expect(readMaterial("PVC-free vinyl")).toMatchObject({ denied: true, named: true });
    expect(families("PVC-free vinyl")).toEqual(["chlorinated"]);
    expect(readMaterial("no MDF, oak")).toMatchObject({ denied: false });
  });

  it.each([undefined, "", "   ", "--", "?!"])("%j names nothing", (text) => {
    expect(readMaterial(text)).toMatchObject({ denied: false, named: false });
  });

  it("PVC is found wherever it stands among other words, however it is written", () => {
    const other = fc.constantFrom("clear", "sheet", "2 mm", "from the shop", "matt", "old", "blue", "offcut");
    const written = fc.constantFrom("PVC", "pvc", "Pvc", "p.v.c.", "uPVC", "3mmPVC", "PVC-U", "pvcs");
    fc.assert(
      fc.property(
        fc.array(other, { maxLength: 4 }),
        written,
        fc.array(other, { maxLength: 4 }),
        (a, pvc, b) => {
          expect(families([...a, pvc, ...b].join(" "))).toContain("chlorinated");
        },
      ),
    );
  });

  it("any text at all is read without complaint", () => {
    fc.assert(
      fc.property(fc.string({ unit: "grapheme", maxLength: 80 }), (text) => {
        const { families: found, named } = readMaterial(text);
        if (found.size > 0) expect(named).toBe(true);
      }),
    );
  });
});
