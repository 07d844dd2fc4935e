import { expect, it } from "vitest";
import type { GivenGrade, SpecimenView } from "../../../station/model/specimen.js";
import { selfAgreements } from "../../../station/trials/decision/self-agreement.js";

const given = (value: number): GivenGrade => ({ value, wall: 0, by: null, before: [] });

function measured(pairs: readonly (readonly [number, number])[]) {
  const specimens = pairs.map(([first, second]) => ({
    grades: [{ edge_L: given(first) }, { edge_L: given(second) }],
  })) as unknown as SpecimenView[];
  return selfAgreements(["edge_L"], specimens)[0]?.sentence;
}

it("says how well a measured property repeats, and where there are too few to tell", () => {
  expect(measured([])).toBeUndefined();
  expect(measured([[30, 31]])).toBe(
    "Lightness of the edge, L*: measured twice on 1 specimen; too few to tell how well it repeats.",
  );
  // The variance within each is 1² / 2, so s = 0.707 and r = 2.8 s = 1.98 (ISO 5725-6, from memory).
  const five = [30, 35, 40, 45, 50].map((first) => [first, first + 1] as const);
  expect(measured(five)).toBe(
    "Lightness of the edge, L*: measured twice on 5 specimens; two measurements of one specimen differ by more than 1.98 L* once in twenty.",
  );
});
