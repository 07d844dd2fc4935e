export interface Grade {
  readonly word: string;
  readonly sentence: string;
}

interface Graded {
  readonly as: "grade";
  readonly name: string;
  /** What is looked at, and how. */
  readonly how: string;
  /** Best first. */
  readonly grades: readonly [Grade, Grade, ...Grade[]];
}

interface MeasuredProperty {
  readonly as: "measure";
  readonly name: string;
  readonly how: string;
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  readonly step: number;
  /** Whether less of it is better; null where it is not for comparing by itself. */
  readonly lessIsBetter: boolean | null;
}

export type Property = Graded | MeasuredProperty;

const grades = (...pairs: readonly [string, string][]): Graded["grades"] =>
  pairs.map(([word, sentence]) => ({ word, sentence })) as unknown as Graded["grades"];

/**
 * What is looked at on a specimen. Grades are ordered, best first, each with a sentence that two people would read alike (common
 * practice, no source); their places are what is kept, so a grade may be reworded but never moved.
 */
export const PROPERTIES = {
  through: {
    as: "grade",
    name: "Cut through",
    how: "Lift the sheet, then push the piece from the face.",
    grades: grades(
      ["Fell out", "It dropped out, or came out with its own weight."],
      ["Finger", "A light push with one finger took it out."],
      ["Force", "It needed a hard push or a tool; fibres tore."],
      ["Stayed", "It stayed in the sheet."],
    ),
  },
  back_fuzz: {
    as: "grade",
    name: "Fuzz on the back",
    how: "Wipe a dry finger along the back of the edge.",
    grades: grades(
      ["None", "Clean to the touch."],
      ["A little", "Felt, and gone with one wipe."],
      ["Some", "Seen at arm's length; wants a light sanding."],
      ["Much", "Loose fibres all along the edge."],
    ),
  },
  edge_darkness: {
    as: "grade",
    name: "Darkness of the edge",
    how: "In daylight, beside the other specimens.",
    grades: grades(
      ["Light", "Tan: the layers are still seen."],
      ["Brown", "Evenly brown."],
      ["Dark", "Dark brown to black, dry to the touch."],
      ["Black", "Black, and it comes off on the finger."],
    ),
  },
  residue: {
    as: "grade",
    name: "Residue and ghosting",
    how: "The face beside the cut, before it is cleaned.",
    grades: grades(
      ["None", "No haze beside the cut."],
      ["Faint", "A haze that is seen only at a slant."],
      ["Clear", "A yellow or brown border."],
      ["Heavy", "Tar, or marks of the bed."],
    ),
  },
  engraving: {
    as: "grade",
    name: "Contrast of the engraving",
    how: "The engraved code, read at arm's length.",
    grades: grades(
      ["Clear", "Read at once, even in its strokes."],
      ["Good", "Read at once, uneven in places."],
      ["Weak", "Read on a second look."],
      ["Lost", "Not to be read."],
    ),
  },
  cleaning: {
    as: "grade",
    name: "Cleaning",
    how: "One wipe with a damp cloth, then dry.",
    grades: grades(
      ["Clean", "Wiped clean."],
      ["Faint smear", "A smear that is seen only at a slant."],
      ["Smear", "A smear that stays."],
      ["Raised grain", "The grain stood up, or the face swelled."],
    ),
  },
  paint_face: {
    as: "grade",
    name: "Paint on the face",
    how: "After the last coat has dried.",
    grades: grades(
      ["Even", "Even, no fibres, sharp at the line."],
      ["Slight", "Slight fibres or bleed, seen close up."],
      ["Marked", "Fibres or bleed seen at arm's length."],
      ["Poor", "Not to be sold like this."],
    ),
  },
  paint_edge: {
    as: "grade",
    name: "Paint on the edge",
    how: "After the last coat has dried.",
    grades: grades(
      ["Even", "Covered and smooth."],
      ["Slight", "Covered, a little rough."],
      ["Thirsty", "Soaked in: thin in places."],
      ["Poor", "Not covered, or furred."],
    ),
  },
  sanding: {
    as: "grade",
    name: "Sanding needed",
    how: "Before it could be sold.",
    grades: grades(
      ["None", "None."],
      ["Touch", "A few strokes."],
      ["Between coats", "Between all coats."],
      ["Much", "More than the piece is worth."],
    ),
  },
  coats_face: measure("Coats to cover the face", "Until nothing shows through.", "coats", 0, 20, 1, true),
  coats_edge: measure("Coats to cover the edge", "Until nothing shows through.", "coats", 0, 20, 1, true),
  press_out_N: measure(
    "Force to press it out",
    "Luggage scale or hanging weight: the most it showed. 1 kg is 9.81 N.",
    "N",
    0,
    5000,
    0.1,
    true,
  ),
  bend_span_mm: measure("Span of the bending test", "Between the supports.", "mm", 1, 2000, 0.5, null),
  bend_width_mm: measure("Width of the bent piece", "At its middle.", "mm", 1, 500, 0.05, null),
  bend_thickness_mm: measure("Thickness of the bent piece", "At its middle.", "mm", 0.1, 100, 0.01, null),
  bend_break_N: measure("Load at which it broke", "The most the scale showed.", "N", 0, 50_000, 0.1, null),
  bend_low_N: measure(
    "Bending: the lower load",
    "About a tenth of the breaking load.",
    "N",
    0,
    50_000,
    0.1,
    null,
  ),
  bend_low_mm: measure("Bending: sag at the lower load", "At the middle.", "mm", 0, 500, 0.01, null),
  bend_high_N: measure("Bending: the higher load", "About four tenths of it.", "N", 0, 50_000, 0.1, null),
  bend_high_mm: measure("Bending: sag at the higher load", "At the middle.", "mm", 0, 500, 0.01, null),
  edge_L: measure(
    "Lightness of the edge, L*",
    "From a photo with the grey card in it.",
    "L*",
    0,
    100,
    0.1,
    false,
  ),
  residue_L: measure(
    "Lightness of the residue, L*",
    "From a photo with the grey card in it.",
    "L*",
    0,
    100,
    0.1,
    false,
  ),
  face_L: measure(
    "Lightness of the plain face, L*",
    "From a photo with the grey card in it.",
    "L*",
    0,
    100,
    0.1,
    null,
  ),
  finishing_min: measure(
    "Minutes of finishing",
    "Cleaning, sanding and painting, drying not counted.",
    "min",
    0,
    600,
    0.5,
    true,
  ),
} as const satisfies Record<string, Property>;
export type PropertyId = keyof typeof PROPERTIES;
export const PROPERTY_IDS = Object.keys(PROPERTIES) as [PropertyId, ...PropertyId[]];

function measure(
  name: string,
  how: string,
  unit: string,
  least: number,
  most: number,
  step: number,
  lessIsBetter: boolean | null,
): MeasuredProperty {
  return { as: "measure", name, how, unit, least, most, step, lessIsBetter };
}

export function propertyOf(id: PropertyId): Property {
  return PROPERTIES[id];
}

export type { GradeBody } from "./grade-schema.js";

/** Why a value is none of this property, in words of what was expected; null where it is one. */
export function unfitValue(id: PropertyId, value: number | null): string | null {
  const property = propertyOf(id);
  if (value === null) return null;
  if (property.as === "grade") {
    const last = property.grades.length - 1;
    return Number.isInteger(value) && value >= 0 && value <= last ? null : `a whole number from 0 to ${last}`;
  }
  const { least, most, unit } = property;
  return value >= least && value <= most ? null : `${least} to ${most} ${unit}`;
}
