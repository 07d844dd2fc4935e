import { PROPERTIES, type PropertyId, propertyOf } from "../../model/grade.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { bendingResult } from "../bending-result.js";

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
  const bent = ({ lot, grades }: SpecimenView) => bendingResult(grades[0], nominal.get(lot) ?? 0);
  const odd = new Set(specimens.flatMap((specimen) => bent(specimen)?.departures ?? []));
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
    measure("bending_strength", "Bending strength", (each) => bent(each)?.strength ?? null),
    measure("bending_modulus", "Modulus of elasticity in bending", (each) => bent(each)?.modulus ?? null),
  ];
}
