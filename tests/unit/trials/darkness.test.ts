import { describe, expect, it } from "vitest";
import { type Area, darknessOf, type PixelPicture } from "../../../station/trials/darkness.js";
import { cardLine, shareOfLightness } from "../../../station/trials/grey-card.js";
import { lightness } from "../../../station/trials/lightness.js";
import { repeatability } from "../../../station/trials/repeatability.js";

/** sRGB of a share of white, IEC 61966-2-1 (from memory): the way back that the station never goes. */
const coded = (share: number) =>
  Math.round(255 * (share <= 0.0031308 ? 12.92 * share : 1.055 * share ** (1 / 2.4) - 0.055));

/** Upright bars of 30 by 30 pixels. */
function bars(shares: readonly number[]): PixelPicture {
  const width = 30 * shares.length;
  const rgb = new Uint8Array(width * 30 * 3);
  for (let i = 0; i < rgb.length; i++) {
    rgb[i] = coded(shares[Math.floor((Math.floor(i / 3) % width) / 30)] as number);
  }
  return { width, height: 30, rgb };
}
const bar = (i: number): Area => ({ x: 30 * i, y: 0, width: 30, height: 30 });
/** A card of three patches, an edge and a face. */
const CARD = [20, 50, 90];
const [EDGE, FACE] = [32, 78];
const shares = [...CARD, EDGE, FACE].map(shareOfLightness);
const patches = CARD.map((known, i) => ({ known, ...bar(i) }));

describe("how dark an edge is", () => {
  it.each<[string, (share: number) => number]>([
    ["as it is", (share) => share],
    ["in half the light", (share) => share / 2],
    ["in less light and with a veil over it", (share) => 0.05 + 0.6 * share],
  ])("is the same in a picture taken %s", (_, light) => {
    const [edge, face] = darknessOf(bars(shares.map(light)), patches, [bar(3), bar(4)]);
    // A step of an 8-bit code is up to 0.6 of L* here.
    expect(Math.abs((edge?.lightness ?? 0) - EDGE)).toBeLessThan(0.6);
    expect(Math.abs((face?.lightness ?? 0) - FACE)).toBeLessThan(0.6);
    expect(edge).toMatchObject({ n: 900, warnings: [] });
    expect(edge?.sd).toBeCloseTo(0, 9);
  });

  it("by one grey card of 18 % where there is no veil", () => {
    const dim = bars([0.18, shareOfLightness(EDGE)].map((share) => share * 0.7));
    const [edge] = darknessOf(dim, [{ known: lightness(0.18), ...bar(0) }], [bar(1)]);
    expect(Math.abs((edge?.lightness ?? 0) - EDGE)).toBeLessThan(0.6);
  });

  it("says what speaks against it", () => {
    const picture = bars([...shares.slice(0, 3), 0, 1]);
    const small = { ...bar(4), width: 3 };
    const [black, few] = darknessOf(picture, patches, [bar(3), small]);
    expect(black?.warnings).toEqual([expect.stringMatching(/100 % of the area is quite black/)]);
    expect(few?.warnings).toEqual([expect.stringMatching(/90 pixels/), expect.stringMatching(/100 %/)]);
    const shadow = { known: 50, x: 15, y: 0, width: 30, height: 30 };
    const [uneven] = darknessOf(picture, [shadow], [{ ...bar(2) }]);
    expect(uneven?.warnings).toEqual([expect.stringMatching(/uneven/)]);
  });

  it("refuses what is not in the picture, and a card that is marked wrongly", () => {
    const picture = bars(shares);
    for (const area of [
      { ...bar(5) },
      { ...bar(0), height: 31 },
      { ...bar(0), width: 0 },
      { ...bar(0), x: 0.5 },
    ]) {
      expect(() => darknessOf(picture, patches, [area])).toThrow(/mark it anew/);
    }
    expect(() => darknessOf(picture, [], [bar(3)])).toThrow(/at least one patch/);
    const turned = CARD.map((known, i) => ({ known, ...bar(2 - i) }));
    expect(() => darknessOf(picture, turned, [bar(3)])).toThrow(/mark them anew/);
    expect(() => cardLine([{ known: 50, seen: 0 }])).toThrow(/too little light/);
  });
});

it("L* of a share and back, on both sides of 8", () => {
  for (const star of [0, 4, 7.9, 8.1, 20, 49.5, 100])
    expect(lightness(shareOfLightness(star))).toBeCloseTo(star, 9);
});

describe("repeatability", () => {
  // By hand: within the first 0.5 + 0.5 of squares and one degree, of the second 2 and two; sqrt(3 / 3) is 1.
  it("pools what is within specimens, whatever lies between them", () => {
    expect(repeatability([[30, 30 + Math.SQRT2], [80, 81, 82], [55]])).toEqual({
      sd: expect.closeTo(1, 9),
      limit: expect.closeTo(2.8, 9),
      freedom: 3,
    });
  });

  it("is not known from single measurements", () => {
    expect(repeatability([[1], [2]])).toEqual({ sd: null, limit: null, freedom: 0 });
  });
});
