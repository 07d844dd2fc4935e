import { lightness } from "./lightness.js";

/** One patch of a card that is in the picture: how light it is known to be, and how light the picture has it. */
export interface CardPatch {
  /** CIE L*, 0 to 100, as measured or as the maker says. */
  readonly known: number;
  /** What the picture has: the mean share of the luminance of white, 0 to 1. */
  readonly seen: number;
}

/** From the luminance that the picture has to that which the light of the place would have had: a straight line. */
export interface CardLine {
  readonly gain: number;
  /** Light that lay over the picture, as of a window in the lens, is taken away; 0 where one patch alone is known. */
  readonly offset: number;
}

/** The inverse of `lightness`: share of the luminance of white, 0 to 1 (CIE 15, from memory). @param star L*, 0 to 100 */
export function shareOfLightness(star: number): number {
  return star > 8 ? ((star + 16) / 116) ** 3 : (star * 27) / 24_389;
}

/**
 * The line that brings the patches nearest to what is known of them, in linear light: by their quotient with one patch, by least
 * squares with two and more.
 * @throws RangeError without a patch, with a black one alone, or with patches that the picture does not tell apart
 */
export function cardLine(patches: readonly CardPatch[]): CardLine {
  const points = patches.map(({ known, seen }) => ({ seen, wanted: shareOfLightness(known) }));
  const [only] = points;
  if (only === undefined) throw new RangeError("Mark at least one patch of the grey card.");
  if (points.length === 1) {
    if (only.seen <= 0)
      throw new RangeError("The patch of the grey card is black in the picture: there is too little light.");
    return { gain: only.wanted / only.seen, offset: 0 };
  }
  const mean = (of: (point: { seen: number; wanted: number }) => number) =>
    points.reduce((sum, p) => sum + of(p), 0) / points.length;
  const [seen, wanted] = [mean((p) => p.seen), mean((p) => p.wanted)];
  const squares = points.reduce((sum, p) => sum + (p.seen - seen) ** 2, 0);
  const products = points.reduce((sum, p) => sum + (p.seen - seen) * (p.wanted - wanted), 0);
  if (!(products > 0)) {
    throw new RangeError(
      "The patches of the grey card are not as light in the picture as they are marked: mark them anew.",
    );
  }
  const gain = products / squares;
  return { gain, offset: wanted - gain * seen };
}

/** CIE L*, 0 to 100, of what the picture has, after the card. @param seen share of the luminance of white */
export function correctedLightness({ gain, offset }: CardLine, seen: number): number {
  return lightness(Math.min(1, Math.max(0, gain * seen + offset)));
}
