import type { DecisionView, LotCost, PropertyComparison, ThresholdRatio } from "../../model/decision.js";
import type { PropertyId } from "../../model/grade.js";
import type { Limited } from "../../model/limited.js";
import { lotMark } from "../../model/lot.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import { counted } from "../../review/counted.js";
import { SIMULATED_FLAG } from "../flags.js";
import { lotName } from "../lot-view.js";
import { countedOf } from "../plans/counting.js";
import { conclude } from "./conclusions.js";
import { conditionsOf } from "./conditions.js";
import { costComparisons, costsOf } from "./costs.js";
import { differenceOf } from "./difference.js";
import { figuresOf } from "./figures.js";
import { measuresOf } from "./measures.js";
import { selfAgreements } from "./self-agreement.js";
import { proposalsOf } from "./settings.js";
import { shown } from "./shown.js";
import { ratiosOf, thresholdsOf } from "./speeds.js";

/** By chance alone one comparison in so many is said to be apart. */
const ONE_IN = 20;
/** Lots that are called by their whole name throughout. */
const MOST_NAMED = 2;

/** Codes that a sentence names. */
const MOST_CODES = 8;

/**
 * What a plan shows: conclusions with their limits, and what is not known.
 * @param opticsHours hours of beam since the optics were cleaned, at runs all over the plan
 */
export function decide(plan: PlanView, facts: WorkshopFacts, opticsHours: readonly number[]): DecisionView {
  const lots = plan.lots.map((lot) => ({ id: lot.id, number: lot.number, name: lotName(lot) }));
  // The names of three stand once over sentences and tables, which go by their marks.
  const spoken = lots.map(({ id, number, name }) => ({
    id,
    name: lots.length > MOST_NAMED ? lotMark({ number }) : name,
  }));
  const nameOf = (id: string) => spoken.find((lot) => lot.id === id)?.name ?? "";
  const all = plan.blocks.flatMap((block) => block.specimens);
  const counting = countedOf(all, plan.facts);
  const cut = counting.counted;
  const properties = measuresOf(plan).map((measure): PropertyComparison => {
    const { id, name, unit, words, remarks } = measure;
    return {
      ...{ id, name, unit, words, remarks },
      lots: spoken.map((lot) => {
        const its = cut.filter((specimen) => specimen.lot === lot.id).map(measure.of);
        return figuresOf(
          measure,
          lot,
          its.filter((value) => value !== null),
        );
      }),
      differences: spoken.flatMap((first, i) =>
        spoken.slice(i + 1).map((second) => differenceOf(measure, first, second, cut)),
      ),
    };
  });
  const thresholds = thresholdsOf(plan, spoken, cut);
  const ratios = ratiosOf(thresholds);
  const conditions = conditionsOf(spoken, all, counting, opticsHours);
  const settings = proposalsOf(plan, thresholds, cut, conditions, facts).map((each) => ({
    ...each,
    name: lots.find(({ id }) => id === each.lot)?.name ?? each.name,
  }));
  const costs = costsOf(spoken, { plan, facts, properties, settings, specimens: cut });
  const agreement = selfAgreements(
    properties.map(({ id }) => id as PropertyId).filter((id) => plan.facts.properties.includes(id)),
    cut,
  );
  const sentences = [
    ...simulatedSentence(cut),
    ...conclude(ratios, properties, costComparisons(costs), nameOf),
  ];
  return {
    plan: { id: plan.id, number: plan.number, title: plan.facts.title },
    ...{ lots, currency: facts.currency ?? "", sentences, compared: comparedWords(plan, plan.counts.cut) },
    ...{ conditions, properties, thresholds, ratios, agreement, costs, settings },
    notKnown: [
      ...notGraded(cut, plan.facts.properties),
      ...gradedTooEarly(cut),
      ...notKnown(
        plan,
        nameOf,
        properties,
        ratios,
        costs,
        agreement.filter(({ same }) => same !== null).length,
      ),
    ],
  };
}

/** The bench is for trying out how it goes; what comes of that must not be taken for a finding. */
function simulatedSentence(cut: readonly SpecimenView[]): string[] {
  const made = cut.filter(({ runs }) =>
    runs.some(({ flags }) => flags.some(({ flag }) => flag === SIMULATED_FLAG.flag)),
  ).length;
  if (made === 0) return [];
  return made === cut.length
    ? ["Simulated: no sheet was cut, and what follows says nothing of real ones."]
    : [
        `Simulated: ${made} of ${counted(cut.length, "specimen")} cut; what follows takes them for real ones.`,
      ];
}

function comparedWords({ facts, counts }: PlanView, cut: number): string[] {
  const { layout, passes, power_pct, speed_mm_s } = facts;
  const said: string[] = [];
  const fixed =
    layout.method === "ladder" && layout.vary === "power" ? `${speed_mm_s} mm/s` : `${power_pct} %`;
  if (layout.method === "ladder") {
    const unit = layout.vary === "speed" ? "mm/s" : "%";
    said.push(
      `${counted(layout.rungs.length, layout.vary === "speed" ? "speed" : "power")} (${[...layout.rungs].sort((a, b) => a - b).join(", ")} ${unit}) at ${fixed}, in ${counted(layout.replicates, "block")}, the order within each drawn by lot.`,
    );
  } else {
    said.push(
      `A search for the fastest speed that cuts through, ${layout.slowest_mm_s} to ${layout.fastest_mm_s} mm/s at ${fixed}.`,
      "While it ran the wall said limits that hold 90 times in 100, where what was assumed before the first cut holds. Those here hold 95 times in 100 and assume a curve and nothing else, so that they are wider.",
    );
  }
  said.push(`${counted(passes, "pass").replace("passs", "passes")}, ${counted(cut, "specimen")} cut.`);
  if (counts.waiting + counts.cutting > 0)
    said.push(`${counted(counts.waiting + counts.cutting, "specimen")} not cut yet.`);
  if (counts.skipped > 0) said.push(`${counted(counts.skipped, "specimen")} skipped.`);
  said.push(
    facts.blind ? "Graded blind: by the code alone." : "Not graded blind: who graded could see the lot.",
  );
  return said;
}

/** By G. Boole's inequality, which asks nothing of how the comparisons hang together. @param n comparisons, 2 or more */
function chanceWords(n: number): string {
  const each = `Whether a difference is chance: of lots that are all alike, 1 comparison in ${ONE_IN} still looks like a difference.`;
  return n < ONE_IN
    ? `${each} Here are ${n}: that one of them or more does is at most ${(100 / ONE_IN) * n} times in 100.`
    : `${each} Here are ${n}: expect ${shown(n / ONE_IN)} of them to be nothing but chance.`;
}

/** Of what was cut and counts: what nobody looked at yet, and what was looked at in part. */
function notGraded(cut: readonly SpecimenView[], wanted: readonly PropertyId[]): string[] {
  const given = ({ grades }: SpecimenView) => wanted.filter((id) => grades[0][id] !== undefined).length;
  const told = (words: string, its: readonly SpecimenView[]) =>
    its.length === 0 ? [] : [`${words}: ${codesOf(its)}.`];
  return [
    ...told(
      "Cut and not graded yet",
      cut.filter((each) => given(each) === 0),
    ),
    ...told(
      "Graded in part",
      cut.filter((each) => given(each) > 0 && given(each) < wanted.length),
    ),
  ];
}

/** Mostly a code that was mixed up. By the clock of a phone and that of the station, so it is told and not left out. */
function gradedTooEarly(cut: readonly SpecimenView[]): string[] {
  const early = cut.filter(({ runs, grades }) => {
    const begun = Math.min(...runs.map(({ startWall }) => startWall));
    return grades.some((grading) => Object.values(grading).some(({ wall }) => wall < begun));
  });
  if (early.length === 0) return [];
  return [
    `Whether the right pieces were graded: these have a grade from before they were cut, by the clocks: ${codesOf(early)}.`,
  ];
}

function codesOf(specimens: readonly SpecimenView[]): string {
  const codes = specimens.slice(0, MOST_CODES).map(({ code }) => code);
  const more = specimens.length - codes.length;
  return more === 0 ? codes.join(", ") : `${codes.join(", ")} and ${more} more`;
}

function notKnown(
  { facts }: PlanView,
  nameOf: (lot: string) => string,
  properties: readonly PropertyComparison[],
  ratios: readonly ThresholdRatio[],
  costs: readonly LotCost[],
  agreements: number,
): string[] {
  const said: string[] = [];
  for (const { name, lots } of properties) {
    const without = lots.filter(({ n }) => n === 0).map(({ lot }) => nameOf(lot));
    if (without.length > 0) said.push(`${name}: nothing was entered for ${without.join(" and ")}.`);
  }
  if (agreements === 0)
    said.push("How far the grader agrees with themselves: no specimen was graded a second time.");
  for (const { goodPart, sentence } of costs) if (goodPart.estimate === null) said.push(sentence);
  if (facts.lots.length > 1)
    said.push(
      "Whether other sheets of these lots are like the ones that were cut: this plan cut only those.",
    );
  // One that has no limits cannot look apart.
  const canTell = ({ lower, upper }: Limited) => lower !== null || upper !== null;
  const comparisons = [...ratios, ...properties.flatMap(({ differences }) => differences)].filter(
    canTell,
  ).length;
  if (comparisons > 1) said.push(chanceWords(comparisons));
  return said;
}
