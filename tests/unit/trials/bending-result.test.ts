import { expect, it } from "vitest";
import type { Grades } from "../../../station/model/specimen.js";
import { bendingResult } from "../../../station/trials/bending-result.js";

const given = (values: Readonly<Record<string, number>>): Grades =>
  Object.fromEntries(
    Object.entries(values).map(([id, value]) => [id, { value, wall: 0, by: null, before: [] }]),
  );
const PIECE = { bend_span_mm: 100, bend_width_mm: 50, bend_thickness_mm: 3 };
const NOTHING_ODD = { departures: [], words: [] };

it("is worked out as far as it was measured", () => {
  expect(bendingResult({}, 3)).toBeNull();
  expect(bendingResult(given({ through: 1 }), 3)).toBeNull();
  expect(bendingResult(given({ bend_break_N: 120 }), 3)).toMatchObject({ strength: null, modulus: null });
  // 3 F l / (2 b t²) = 3 · 120 · 100 / (2 · 50 · 9), EN 310 (from memory), by hand.
  const broken = bendingResult(given({ ...PIECE, bend_break_N: 120 }), 3);
  expect(broken).toEqual({ strength: 40, modulus: null, ...NOTHING_ODD });
  // l³ ΔF / (4 b t³ Δa) = 10⁶ · 27 / (4 · 50 · 27 · 2).
  const slope = { bend_low_N: 10, bend_high_N: 37, bend_low_mm: 1, bend_high_mm: 3 };
  const bent = bendingResult(given({ ...PIECE, ...slope }), 3);
  expect(bent).toEqual({ strength: null, modulus: 2500, ...NOTHING_ODD });
});

it("says in what the piece is not one of the standard, and where its figures contradict themselves", () => {
  const slope = { bend_low_N: 40, bend_high_N: 37, bend_low_mm: 1, bend_high_mm: 3 };
  const bent = bendingResult(given({ ...PIECE, bend_width_mm: 20, ...slope }), 3);
  expect(bent?.modulus).toBeNull();
  expect(bent?.departures).toEqual(["it is 20 mm wide, in EN 310 50 mm"]);
  expect(bent?.words).toEqual([expect.stringMatching(/look at them again/)]);
});
