import type { LotCost, PropertyComparison, ProposedSetting } from "../../model/decision.js";
import type { LotFacts } from "../../model/lot.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import { counted } from "../../review/counted.js";
import { type ShareLimits, shareLimits } from "../../review/share-limits.js";
import { type Nesting, nest, partCost } from "../cost.js";
import { CONFIDENCE } from "./figures.js";

import { speedOf, throughUpTo } from "./speeds.js";

const SECONDS = 60;
const NOTHING = { estimate: null, lower: null, upper: null };
/** The worst grade of these is that of a piece that cannot be sold, in the words of the rubric. */
const UNSALEABLE = ["paint_face", "paint_edge", "sanding"] as const;

interface CostParts {
  readonly plan: PlanView;
  readonly facts: WorkshopFacts;
  readonly properties: readonly PropertyComparison[];
  readonly settings: readonly ProposedSetting[];
  readonly specimens: readonly SpecimenView[];
}

/** What a good part of each lot costs, with its low and high, or what is missing for it. */
export function costsOf(
  lots: readonly { readonly id: string; readonly name: string }[],
  parts: CostParts,
): LotCost[] {
  return lots.map((lot) => costOf(lot, parts));
}

function costOf({ id, name }: { id: string; name: string }, parts: CostParts): LotCost {
  const { plan, facts, properties, settings, specimens } = parts;
  const lot = plan.lots.find((each) => each.id === id)?.facts;
  const setting = settings.find((each) => each.lot === id) ?? null;
  const nesting = lot === undefined ? null : nestingOf(lot, facts);
  const badShare = setting === null ? null : badShareOf(id, setting, plan, specimens);
  const finishing = properties
    .find((each) => each.id === "finishing_min")
    ?.lots.find((each) => each.lot === id);
  const about = {
    ...{ lot: id, name, badShare },
    partsFromSheet: nesting?.parts ?? null,
    offcut: nesting?.offcut ?? null,
  };
  const missing = missingOf(lot, facts, nesting, setting, finishing?.mean ?? null, badShare);
  if (missing.length > 0 || lot === undefined || nesting === null || setting === null || badShare === null) {
    return {
      ...{ ...about, goodPart: NOTHING, material: null, laser: null, finishing: null },
      sentence: `Cost of a good part of ${name}: not known. Missing: ${missing.join(", ")}.`,
    };
  }
  const laserMinutes = ((facts.cut_length_mm ?? 0) * setting.passes) / setting.speedMmS / SECONDS;
  const at = (minutes: number, bad: number) =>
    partCost({
      ...{ sheetPrice: lot.sheet_price ?? 0, delivery: lot.delivery ?? 0, partsFromSheet: nesting.parts },
      sheetsOrdered: Math.max(facts.order_sheets ?? 1, lot.minimum_order ?? 1),
      ...{ laserMinutes, laserPerMinute: facts.laser_per_min ?? 0 },
      ...{ finishingMinutes: minutes, finishingPerMinute: facts.finishing_per_min ?? 0, badShare: bad },
    });
  const minutes = finishing?.mean ?? 0;
  // All are bad: no good part comes of it at any price.
  const middle = badShare.estimate < 1 ? at(minutes, badShare.estimate) : null;
  const [fewest, most] = [finishing?.lower ?? null, finishing?.upper ?? null];
  const goodPart = {
    estimate: middle?.goodPart ?? null,
    lower: fewest === null ? null : at(Math.max(0, fewest), badShare.lower).goodPart,
    upper: most === null || badShare.upper >= 1 ? null : at(most, badShare.upper).goodPart,
  };
  return {
    ...{ ...about, goodPart },
    material: middle?.material ?? null,
    laser: middle?.laser ?? null,
    finishing: middle?.finishing ?? null,
    sentence: costSentence(name, goodPart, facts.currency ?? "", badShare),
  };
}

/** Null where a size is not known. */
function nestingOf(
  { sheet_length_mm, sheet_width_mm }: LotFacts,
  { part_length_mm, part_width_mm, gap_mm = 0, edge_mm = 0 }: WorkshopFacts,
): Nesting | null {
  if (sheet_length_mm === undefined || sheet_width_mm === undefined) return null;
  if (part_length_mm === undefined || part_width_mm === undefined) return null;
  const sheet = { lengthMm: sheet_length_mm, widthMm: sheet_width_mm };
  return nest(sheet, { lengthMm: part_length_mm, widthMm: part_width_mm }, gap_mm, edge_mm);
}

/** Of the specimens cut no faster than the sheet's speed those that were not through, or not to be sold; null for none. */
function badShareOf(
  id: string,
  { speedMmS }: ProposedSetting,
  plan: PlanView,
  specimens: readonly SpecimenView[],
): ShareLimits | null {
  const its = specimens.filter(
    (each) => each.lot === id && speedOf(each) <= speedMmS + 1e-9 && each.grades[0].through !== undefined,
  );
  const isBad = ({ grades: [given] }: SpecimenView) =>
    (given.through?.value ?? 0) > throughUpTo(plan.facts) ||
    UNSALEABLE.some((property) => given[property]?.value === 3);
  return its.length === 0 ? null : shareLimits(its.filter(isBad).length, its.length, CONFIDENCE);
}

function missingOf(
  lot: LotFacts | undefined,
  facts: WorkshopFacts,
  nesting: Nesting | null,
  setting: ProposedSetting | null,
  finishing: number | null,
  badShare: ShareLimits | null,
): string[] {
  const missing: string[] = [];
  if (lot?.sheet_price === undefined) missing.push("the price of a sheet");
  if (lot?.delivery === undefined) missing.push("what delivery costs (0 where it is free)");
  if (lot?.sheet_length_mm === undefined || lot.sheet_width_mm === undefined)
    missing.push("the size of a sheet");
  if (facts.part_length_mm === undefined || facts.part_width_mm === undefined)
    missing.push("the size of a part");
  if (nesting?.parts === 0) missing.push("a sheet that gives one part or more");
  if (facts.order_sheets === undefined) missing.push("how many sheets you order");
  if (facts.cut_length_mm === undefined) missing.push("the cut length of a part");
  if (facts.laser_per_min === undefined) missing.push("what a minute of laser costs");
  if (facts.finishing_per_min === undefined) missing.push("what a minute of finishing costs");
  if (finishing === null) missing.push("minutes of finishing");
  if (setting === null) missing.push("a speed that cuts through");
  else if (badShare === null) missing.push("specimens cut no faster than the sheet's speed");
  return missing;
}

function costSentence(
  name: string,
  { estimate, lower, upper }: LotCost["goodPart"],
  currency: string,
  { n }: ShareLimits,
): string {
  const money = (value: number) => `${value.toFixed(2)} ${currency}`.trim();
  const what = `Cost of a good part of ${name}`;
  if (estimate === null) return `${what}: not known, for every specimen at its speed was bad.`;
  const ends =
    lower !== null && upper !== null
      ? `${money(lower)} to ${money(upper)}`
      : lower === null && upper === null
        ? "no limits: minutes of finishing were measured once"
        : lower === null
          ? `${money(upper as number)} or less`
          : `${money(lower)} or more`;
  return `${what}: ${money(estimate)} (${ends}; bad parts counted among ${counted(n, "specimen")}).`;
}

/** Which costs less, where their ranges are apart; what cannot be told in one sentence. */
export function costComparisons(costs: readonly LotCost[]): string[] {
  const pairs = costs.flatMap((first, i) => costs.slice(i + 1).map((second) => [first, second] as const));
  const open = pairs.filter(([first, second]) => !isBelow(first, second) && !isBelow(second, first));
  const known = pairs.flatMap(([first, second]) => {
    if (isBelow(first, second)) return [lessWords(first, second)];
    return isBelow(second, first) ? [lessWords(second, first)] : [];
  });
  if (open.length === 0) return known;
  const words = open.map(([first, second]) => `of ${first.name} or of ${second.name}`);
  return [...known, `Cannot tell whether a good part costs less ${words.join(", ")}.`];
}

function isBelow({ goodPart: one }: LotCost, { goodPart: other }: LotCost): boolean {
  return one.upper !== null && other.lower !== null && one.upper < other.lower;
}

function lessWords(cheaper: LotCost, dearer: LotCost): string {
  return `A good part of ${cheaper.name} costs less than one of ${dearer.name}.`;
}
