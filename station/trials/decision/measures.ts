import { PROPERTIES, type PropertyId, propertyOf } from "../../model/grade.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { type BentPiece, bendingModulus, bendingStrength, departures } from "../bending.js";

/** Something that lots are compared by: a property as it was entered, or what is worked out from several. */
export interface Measure {
  readonly id: string;
  readonly name: string;
  readonly unit: string;
  readonly words: readonly string[] | null;
  readonly lessIsBetter: boolean | null;
  readonly of: (specimen: SpecimenView) => number | null;
  readonly remarks: readonly string[];
}

const BENDING = /^bend_/;

/** Of the plan's properties, in the order of the rubric; strength and stiffness last. */
export function measuresOf(plan: PlanView): Measure[] {
  const specimens = plan.blocks.flatMap((block) => block.specimens);
  const wanted = new Set<PropertyId>(plan.facts.properties);
  for (const { grades } of specimens) for (const id of Object.keys(grades[0]) as PropertyId[]) wanted.add(id);
  const entered = (Object.keys(PROPERTIES) as PropertyId[]).filter(
    (id) => wanted.has(id) && !BENDING.test(id),
  );
  const bent = [...wanted].some((id) => BENDING.test(id)) ? bendingMeasures(plan, specimens) : [];
  return [...entered.map(enteredMeasure), ...bent];
}

function enteredMeasure(id: PropertyId): Measure {
  const property = propertyOf(id);
  const graded = property.as === "grade";
  return {
    id,
    name: property.name,
    unit: graded ? "grades" : property.unit,
    words: graded ? property.grades.map(({ word }) => word) : null,
    lessIsBetter: graded ? true : property.lessIsBetter,
    of: (specimen) => gradeOf(specimen, id),
    remarks: [],
  };
}

function gradeOf({ grades }: SpecimenView, id: PropertyId): number | null {
  return grades[0][id]?.value ?? null;
}

function bendingMeasures(plan: PlanView, specimens: readonly SpecimenView[]): Measure[] {
  const nominal = new Map(plan.lots.map(({ id, facts }) => [id, facts.nominal_mm]));
  const odd = new Set(
    specimens.flatMap((specimen) => {
      const piece = pieceOf(specimen);
      const its = nominal.get(specimen.lot);
      return piece === null || its === undefined ? [] : departures(piece, its);
    }),
  );
  const remarks =
    odd.size === 0
      ? []
      : [
          `Not a test of EN 310: ${[...odd].join("; ")}. Compare these figures with each other, not with a data sheet.`,
        ];
  const measure = (id: string, name: string, of: Measure["of"]): Measure => ({
    ...{ id, name, of, remarks, unit: "N/mm²", words: null, lessIsBetter: false },
  });
  return [
    measure("bending_strength", "Bending strength", strengthOf),
    measure("bending_modulus", "Modulus of elasticity in bending", modulusOf),
  ];
}

function pieceOf(specimen: SpecimenView): BentPiece | null {
  const spanMm = gradeOf(specimen, "bend_span_mm");
  const widthMm = gradeOf(specimen, "bend_width_mm");
  const thicknessMm = gradeOf(specimen, "bend_thickness_mm");
  return spanMm === null || widthMm === null || thicknessMm === null
    ? null
    : { spanMm, widthMm, thicknessMm };
}

function strengthOf(specimen: SpecimenView): number | null {
  const piece = pieceOf(specimen);
  const most = gradeOf(specimen, "bend_break_N");
  return piece === null || most === null ? null : bendingStrength(piece, most);
}

/** Null too where load and sag do not both rise: that is a slip of the pen, and no figure comes of it. */
function modulusOf(specimen: SpecimenView): number | null {
  const piece = pieceOf(specimen);
  const lowN = gradeOf(specimen, "bend_low_N");
  const highN = gradeOf(specimen, "bend_high_N");
  const lowMm = gradeOf(specimen, "bend_low_mm");
  const highMm = gradeOf(specimen, "bend_high_mm");
  if (piece === null || lowN === null || highN === null || lowMm === null || highMm === null) return null;
  return highN > lowN && highMm > lowMm ? bendingModulus(piece, { lowN, highN, lowMm, highMm }) : null;
}
