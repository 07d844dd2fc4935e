import { expect, it } from "vitest";
import { lotBeside } from "../../../ui/src/words/lot.js";

it.each([
  ["L1 Quayside board", "L1 Quayside board", null],
  ["L1 Quayside board, light side", "L1 Quayside board", null],
  ["Quayside board", "L1 Quayside board", "L1"],
  ["3 mm MDF", "L1 Quayside board", "L1 Quayside board"],
  ["board", "L1 Quaysideboard", "L1 Quaysideboard"],
  [undefined, "L1 Quayside board", "L1 Quayside board"],
  ["3 mm MDF", undefined, null],
  ["3 mm MDF", null, null],
])("of material %s and lot %s, beside the material stands %s", (material, lot, beside) => {
  expect(lotBeside(material, lot)).toBe(beside);
});
