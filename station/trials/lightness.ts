/** Of a pixel as a camera's picture has it: sRGB, 0 to 255 each. */
export type Srgb = readonly [red: number, green: number, blue: number];

/** CIE 15 (from memory, as all here): below this share of white the cube root gives way to a straight line. */
const EPSILON = 216 / 24_389;
const KAPPA = 24_389 / 27;
/** What red, green and blue have of the luminance of white: IEC 61966-2-1. */
const SHARES = [0.2126, 0.7152, 0.0722] as const;

/** Luminance as a share of white's, 0 to 1, after IEC 61966-2-1 (sRGB). */
export function luminance(pixel: Srgb): number {
  return pixel.reduce((sum, value, i) => sum + (SHARES[i] as number) * linear(value / 255), 0);
}

function linear(value: number): number {
  return value <= 0.040_45 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
}

/**
 * CIE 1976 lightness L*, 0 for black to 100 for white (CIE 15).
 * @param share of the luminance of white, 0 to 1
 */
export function lightness(share: number): number {
  return share > EPSILON ? 116 * Math.cbrt(share) - 16 : KAPPA * share;
}
