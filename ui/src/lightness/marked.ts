import {
  LIGHTNESS_AREAS,
  type LightnessArea,
  type LightnessAsked,
  type PhotoArea,
} from "../../../station/model/lightness.js";

/** What is marked on a photo: patches of the grey card, and what is measured. */
export const PATCHES = ["black", "grey", "white"] as const;
export type Patch = (typeof PATCHES)[number];
export type MarkId = Patch | LightnessArea;

export const MARK_WORDS: Readonly<Record<MarkId, string>> = {
  black: "Card: darkest patch",
  grey: "Card: middle patch",
  white: "Card: lightest patch",
  edge: "The cut edge",
  residue: "Residue beside the cut",
  face: "The plain face",
};

/** In shares of the photo's sides, 0 to 1, so that it holds at any size it is shown at. */
export interface Share {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}
export type Marks = Readonly<Partial<Record<MarkId, Share>>>;

/** Between two points, inside the photo. */
export function between(ax: number, ay: number, bx: number, by: number): Share {
  const inside = (value: number) => Math.min(1, Math.max(0, value));
  const [left, right] = [Math.min(inside(ax), inside(bx)), Math.max(inside(ax), inside(bx))];
  const [top, bottom] = [Math.min(inside(ay), inside(by)), Math.max(inside(ay), inside(by))];
  return { x: left, y: top, width: right - left, height: bottom - top };
}

function areaOf({ x, y, width, height }: Share, photo: { width: number; height: number }): PhotoArea {
  const left = Math.min(photo.width - 1, Math.floor(x * photo.width));
  const top = Math.min(photo.height - 1, Math.floor(y * photo.height));
  return {
    x: left,
    y: top,
    width: Math.max(1, Math.min(photo.width - left, Math.round(width * photo.width))),
    height: Math.max(1, Math.min(photo.height - top, Math.round(height * photo.height))),
  };
}

/**
 * What to ask of the station; null while no patch with a known lightness, or nothing to measure, is marked.
 * @param known CIE L* of the patches, as typed
 */
export function askedOf(
  marks: Marks,
  known: Readonly<Partial<Record<Patch, number>>>,
  photo: { width: number; height: number },
): LightnessAsked | null {
  const card = PATCHES.flatMap((patch) => {
    const [share, star] = [marks[patch], known[patch]];
    return share === undefined || star === undefined ? [] : [{ ...areaOf(share, photo), known: star }];
  });
  const areas = (Object.keys(LIGHTNESS_AREAS) as LightnessArea[]).flatMap((area) => {
    const share = marks[area];
    return share === undefined ? [] : [[area, areaOf(share, photo)] as const];
  });
  return card.length === 0 || areas.length === 0 ? null : { card, areas: Object.fromEntries(areas) };
}
