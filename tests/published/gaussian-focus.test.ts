import { describe, expect, it } from "vitest";
import {
  CO2_WAVELENGTH_MM,
  focusError,
  inFocus,
  spacerFor,
  spotAt,
  waistOf,
} from "../../station/trials/focus.js";

/**
 * A lens of 50.8 mm, a beam of 6 mm and M² 1.2 at 10.6 µm: worked out from the definitions of ISO 11146-1 by a program of its
 * own, in metres, not by this one. Source: ISO 11146-1, second-moment beam diameter and Rayleigh length (from memory).
 */
const WAIST = waistOf({ focalLengthMm: 50.8, beamDiameterMm: 6, m2: 1.2, wavelengthMm: CO2_WAVELENGTH_MM });

describe("the waist of a focused beam", () => {
  it("has the diameter, Rayleigh length and depth of focus of the definitions", () => {
    expect(WAIST.spotMm).toBeCloseTo(0.1371228060097981, 12);
    expect(WAIST.rayleighMm).toBeCloseTo(1.1609730908829572, 12);
    // What the beam's 5 % growth leaves, from end to end.
    expect(WAIST.depthMm).toBeCloseTo(0.7433854937239995, 12);
  });

  it.each([
    [0, 0.1371228060097981],
    [0.5, 0.14929893135255415],
    [1, 0.1809770477935158],
    [2, 0.2731350865931067],
    [3, 0.3799380410389343],
  ])("is, %d mm off, %d mm wide", (offMm, wide) => {
    expect(spotAt(WAIST, offMm)).toBeCloseTo(wide, 12);
    expect(spotAt(WAIST, -offMm)).toBeCloseTo(wide, 12);
  });

  it("is refused for a lens that cannot be", () => {
    const lens = { focalLengthMm: 50.8, beamDiameterMm: 6, m2: 1, wavelengthMm: CO2_WAVELENGTH_MM };
    for (const wrong of [
      { focalLengthMm: 0 },
      { beamDiameterMm: -6 },
      { m2: 0.9 },
      { wavelengthMm: Number.NaN },
    ])
      expect(() => waistOf({ ...lens, ...wrong })).toThrow(RangeError);
  });
});

describe("a sheet that is a quarter of a millimetre thinner", () => {
  it("has the waist that much too high where the head was set on the other's face", () => {
    expect(focusError(0, 3.1, 2.85)).toBeCloseTo(-0.25, 12);
    expect(focusError(0.5, 3.1, 2.85)).toBeCloseTo(-0.125, 12);
    expect(inFocus(WAIST, focusError(0, 3.1, 2.85))).toBe(true);
    expect(inFocus(WAIST, focusError(0, 3.1, 2.6))).toBe(false);
  });

  it("wants a spacer that is higher by the share of it that the waist lies deep", () => {
    const rule = { spacerMm: 7, depthShare: 0.5 };
    expect(spacerFor(rule, 3.1, 2.85)).toBeCloseTo(7.125, 12);
    expect(spacerFor({ ...rule, depthShare: 0 }, 3.1, 2.85)).toBe(7);
  });
});
