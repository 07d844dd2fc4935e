import { expect, it } from "vitest";
import { bendingResult } from "../../../station/trials/bending-result.js";

const PIECE = { bend_span_mm: 100, bend_width_mm: 50, bend_thickness_mm: 3 };

it("is worked out as far as it was measured", () => {
  expect(bendingResult({}, 3)).toBeNull();
  expect(bendingResult({ through: 1 }, 3)).toBeNull();
  expect(bendingResult({ bend_break_N: 120 }, 3)).toMatchObject({ strength: null, modulus: null });
  // 3 F l / (2 b t²) = 3 · 120 · 100 / (2 · 50 · 9), EN 310 (from memory), by hand.
  expect(bendingResult({ ...PIECE, bend_break_N: 120 }, 3)).toEqual({
    strength: 40,
    modulus: null,
    words: [],
  });
  // l³ ΔF / (4 b t³ Δa) = 10⁶ · 27 / (4 · 50 · 27 · 2).
  const slope = { bend_low_N: 10, bend_high_N: 37, bend_low_mm: 1, bend_high_mm: 3 };
  expect(bendingResult({ ...PIECE, ...slope }, 3)).toEqual({ strength: null, modulus: 2500, words: [] });
});

it("says in what the piece is not one of the standard, and where its figures contradict themselves", () => {
  const slope = { bend_low_N: 40, bend_high_N: 37, bend_low_mm: 1, bend_high_mm: 3 };
  const { modulus, words } = bendingResult({ ...PIECE, bend_width_mm: 20, ...slope }, 3) ?? {};
  expect(modulus).toBeNull();
  expect(words).toEqual([
    "Not as in the standard: it is 20 mm wide, in EN 310 50 mm.",
    expect.stringMatching(/look at them again/),
  ]);
});
