import { LETTER_HEIGHT, LETTER_WIDTH, LETTERS } from "./letters.js";

/** A point in millimetres: x to the right from the first letter, y upwards from the line it stands on. */
export type PointMm = readonly [x: number, y: number];

/** Text as lines that a laser follows, and not as outlines that it would have to fill. */
export interface StrokeText {
  readonly strokes: readonly (readonly PointMm[])[];
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Between two letters, in widths of a letter. */
const GAP = 0.45;
const HIGHEST_MM = 100;

/**
 * @param text letters of specimen codes, digits and hyphens; small letters are made capital
 * @param heightMm of the letters, above 0 and up to 100
 * @throws RangeError for another character, a text without any, or another height
 */
export function strokeText(text: string, heightMm: number): StrokeText {
  if (!(heightMm > 0 && heightMm <= HIGHEST_MM)) {
    throw new RangeError(`Letters are more than 0 and up to ${HIGHEST_MM} mm high, not ${heightMm}.`);
  }
  const letters = [...text.toUpperCase()];
  if (letters.length === 0) throw new RangeError("There is no text to engrave.");
  const scale = heightMm / LETTER_HEIGHT;
  const advance = LETTER_WIDTH * (1 + GAP);
  const strokes = letters.flatMap((letter, i) => {
    const lines = Object.hasOwn(LETTERS, letter) ? LETTERS[letter] : undefined;
    if (lines === undefined) throw new RangeError(`There is no engraved letter for "${letter}".`);
    return lines.map((line) => line.map(([x, y]): PointMm => [(x + i * advance) * scale, y * scale]));
  });
  const widthMm = ((letters.length - 1) * advance + LETTER_WIDTH) * scale;
  return { strokes, widthMm, heightMm };
}

/** Around the text in the drawing, so that no line lies on its edge. */
const MARGIN_MM = 1;
/** As drawn; a laser program goes by the line and not by its width. */
const LINE_MM = 0.1;

/** An SVG in real size: open lines, nothing filled. */
export function strokesToSvg({ strokes, widthMm, heightMm }: StrokeText): string {
  const [width, height] = [number(widthMm + 2 * MARGIN_MM), number(heightMm + 2 * MARGIN_MM)];
  const d = strokes
    .map((stroke) => {
      // SVG counts y downwards.
      const [first, ...rest] = stroke.map(
        ([x, y]) => `${number(x + MARGIN_MM)} ${number(heightMm - y + MARGIN_MM)}`,
      );
      return `M${first}L${rest.join(" ")}`;
    })
    .join("");
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">` +
    `<path fill="none" stroke="#000" stroke-width="${LINE_MM}" stroke-linecap="round" stroke-linejoin="round" d="${d}"/></svg>\n`
  );
}

/** A micrometre is finer than any laser. */
function number(mm: number): string {
  return String(Math.round(mm * 1000) / 1000);
}
