import { type CardLine, cardLine, correctedLightness } from "./grey-card.js";
import { luminance } from "./lightness.js";

/** A decoded picture: sRGB, three bytes a pixel, row after row. */
export interface PixelPicture {
  readonly width: number;
  readonly height: number;
  readonly rgb: Uint8Array;
}

/** Of a picture, in whole pixels from its upper left corner. */
export interface Area {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface MarkedPatch extends Area {
  /** CIE L*, 0 to 100, as measured or as the maker of the card says. */
  readonly known: number;
}

export interface Darkness {
  /** Mean CIE L* over the pixels, 0 for black to 100 for white. */
  readonly lightness: number;
  /** Standard deviation over the pixels: how uneven the area is, and not how exact its mean. */
  readonly sd: number;
  readonly n: number;
  /** What speaks against the figure, in words. */
  readonly warnings: readonly string[];
}

/** Our own rules of thumb: fewer pixels are of a scratch, and more of the light at its end hides how light it was. */
const LEAST_PIXELS = 400;
const MOST_CLIPPED = 0.01;
const MOST_UNEVEN = 0.15;

/**
 * How light each area is, after a grey card in the same picture. The card is to lie in the same light, and a printed one is to
 * be measured: a printer's grey is not what it was told.
 * @throws RangeError for an area that is empty or not in the picture; as `cardLine`
 */
export function darknessOf(
  picture: PixelPicture,
  card: readonly MarkedPatch[],
  areas: readonly Area[],
): Darkness[] {
  const patches = card.map((patch) => ({ known: patch.known, ...sharesIn(picture, patch) }));
  const line = cardLine(patches.map(({ known, shares }) => ({ known, seen: mean(shares) })));
  const warnings = patches.flatMap((patch) => [
    ...tooFew(patch.shares.length, "A patch of the card"),
    ...tooClipped(patch.clipped / patch.shares.length, "a patch of the card"),
    ...tooUneven(patch.shares),
  ]);
  return areas.map((area) => measured(picture, area, line, warnings));
}

function measured(picture: PixelPicture, area: Area, line: CardLine, ofCard: readonly string[]): Darkness {
  const { shares, clipped } = sharesIn(picture, area);
  const stars = shares.map((share) => correctedLightness(line, share));
  return {
    lightness: mean(stars),
    sd: deviation(stars),
    n: stars.length,
    warnings: [
      ...new Set(ofCard),
      ...tooFew(stars.length, "The area"),
      ...tooClipped(clipped / stars.length, "the area"),
    ],
  };
}

function sharesIn(picture: PixelPicture, area: Area): { shares: number[]; clipped: number } {
  const { x, y, width, height } = area;
  const whole = [x, y, width, height].every(Number.isInteger);
  const inside = x >= 0 && y >= 0 && x + width <= picture.width && y + height <= picture.height;
  if (!whole || !inside || width < 1 || height < 1) {
    throw new RangeError(
      `An area lies in the picture of ${picture.width} × ${picture.height} pixels: mark it anew.`,
    );
  }
  const shares: number[] = [];
  let clipped = 0;
  for (let row = y; row < y + height; row++) {
    for (let column = x; column < x + width; column++) {
      const at = (row * picture.width + column) * 3;
      const pixel = [picture.rgb[at], picture.rgb[at + 1], picture.rgb[at + 2]] as [number, number, number];
      if (Math.max(...pixel) === 255 || Math.max(...pixel) === 0) clipped += 1;
      shares.push(luminance(pixel));
    }
  }
  return { shares, clipped };
}

function tooFew(n: number, what: string): string[] {
  return n >= LEAST_PIXELS ? [] : [`${what} has ${n} pixels: mark more of it, or go nearer.`];
}

function tooClipped(share: number, what: string): string[] {
  if (share <= MOST_CLIPPED) return [];
  return [
    `${Math.round(share * 100)} % of ${what} is quite black or white in the picture: change the light, and take it again.`,
  ];
}

function tooUneven(shares: readonly number[]): string[] {
  if (deviation(shares) <= MOST_UNEVEN * mean(shares)) return [];
  return ["The grey card is uneven: a shadow or a shine lies on it."];
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** 0 of a single value. */
function deviation(values: readonly number[]): number {
  if (values.length < 2) return 0;
  const middle = mean(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - middle) ** 2, 0) / (values.length - 1));
}
