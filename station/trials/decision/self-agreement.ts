import type { SelfAgreement } from "../../model/decision.js";
import { type PropertyId, propertyOf } from "../../model/grade.js";
import type { SpecimenView } from "../../model/specimen.js";
import { weightedKappa } from "../../review/agreement.js";
import { counted } from "../../review/counted.js";
import { repeatability } from "../repeatability.js";
import { shown } from "./shown.js";

/** Fewer tell little of anybody. */
const FEW = 5;

/**
 * How far the one who graded agrees with themselves, for each graded property that was graded a second time, and how well a
 * measured one repeats.
 */
export function selfAgreements(
  properties: readonly PropertyId[],
  specimens: readonly SpecimenView[],
): SelfAgreement[] {
  return properties.flatMap((id): SelfAgreement[] => {
    const property = propertyOf(id);
    const pairs = specimens.flatMap(({ grades }): [number, number][] => {
      const [first, second] = [grades[0][id], grades[1][id]];
      return first === undefined || second === undefined ? [] : [[first.value, second.value]];
    });
    if (pairs.length === 0) return [];
    if (property.as === "measure") {
      const sentence = repeatWords(property.name, property.unit, pairs);
      return [{ id, name: property.name, kappa: null, n: pairs.length, same: null, sentence }];
    }
    const { kappa, n, same } = weightedKappa(pairs);
    return [{ id, name: property.name, kappa, n, same, sentence: sentenceOf(property.name, pairs, kappa) }];
  });
}

function repeatWords(name: string, unit: string, pairs: readonly (readonly [number, number])[]): string {
  const { limit, freedom } = repeatability(pairs);
  const told = `${name}: measured twice on ${counted(pairs.length, "specimen")}`;
  if (limit === null || freedom < FEW) return `${told}; too few to tell how well it repeats.`;
  return `${told}; two measurements of one specimen differ by more than ${shown(limit)} ${unit} once in twenty.`;
}

function sentenceOf(
  name: string,
  pairs: readonly (readonly [number, number])[],
  kappa: number | null,
): string {
  const n = pairs.length;
  const alike = pairs.filter(([first, second]) => first === second).length;
  const told = `${name}: ${alike} of ${counted(n, "specimen")} got the same grade both times`;
  if (n < FEW) return `${told}; too few to tell how far the grader agrees with themselves.`;
  if (kappa === null) return `${told}; all had one grade, so agreement cannot be told from chance.`;
  return `${told}; weighted kappa ${shown(kappa)}, where 1 is full agreement and 0 chance.`;
}
