import { describe, expect, it } from "vitest";
import { lightness, luminance, type Srgb } from "../../station/trials/lightness.js";

describe("CIE L* of sRGB pixels", () => {
  // Widely published values of L* under the white of sRGB (D65), to four places; from memory.
  it.each<[string, Srgb, number]>([
    ["black", [0, 0, 0], 0],
    ["red", [255, 0, 0], 53.24],
    ["green", [0, 255, 0], 87.73],
    ["blue", [0, 0, 255], 32.3],
    ["white", [255, 255, 255], 100],
    ["middle grey", [128, 128, 128], 53.59],
    ["the grey of 18 %", [118, 118, 118], 49.63],
  ])("%s", (_, pixel, expected) => {
    expect(lightness(luminance(pixel))).toBeCloseTo(expected, 1);
  });

  it("has a grey card of 18 % at 49.5 (the definition of CIE 15, worked by hand: 116 · 0.18^(1/3) − 16)", () => {
    expect(lightness(0.18)).toBeCloseTo(49.496, 3);
  });

  it("goes on without a step where the straight line ends, at L* 8", () => {
    expect(lightness(216 / 24_389)).toBeCloseTo(8, 9);
    expect(lightness(216 / 24_389 + 1e-12)).toBeCloseTo(8, 6);
  });
});
