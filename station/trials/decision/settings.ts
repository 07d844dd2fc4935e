import type { ConditionsView, LotThreshold, ProposedSetting } from "../../model/decision.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import type { WorkshopFacts } from "../../model/workshop.js";
import { leastShareOfAll } from "../../review/share-limits.js";
import { fromTo, shown } from "./shown.js";
import { speedOf, throughUpTo } from "./speeds.js";

/** Where the owner has not said another. */
export const USUAL_MARGIN_PCT = 10;
const SPEED_DIGITS = 10;

/** For each lot what could go on its settings sheet; none where no speed was found, or the power was varied. */
export function proposalsOf(
  plan: PlanView,
  thresholds: readonly LotThreshold[],
  specimens: readonly SpecimenView[],
  conditions: ConditionsView,
  { margin_pct: marginPct = USUAL_MARGIN_PCT }: WorkshopFacts,
): ProposedSetting[] {
  const { power_pct: powerPct, passes, lots, spacers_mm } = plan.facts;
  if (powerPct === undefined) return [];
  return thresholds.flatMap((threshold): ProposedSetting[] => {
    const found = foundSpeed(threshold, plan, specimens);
    if (found === null) return [];
    const speedMmS = withMargin(found.speedMmS, marginPct);
    return [
      {
        ...{ lot: threshold.lot, name: threshold.name, foundMmS: found.speedMmS, how: found.how },
        ...{ marginPct, speedMmS, powerPct, passes },
        focusSpacerMm: spacers_mm[lots.indexOf(threshold.lot)] ?? null,
        conditions: conditionWords(conditions),
      },
    ];
  });
}

/** Rounded down, so that rounding never takes of the margin. */
export function withMargin(foundMmS: number, marginPct: number): number {
  return Math.floor(foundMmS * (1 - marginPct / 100) * SPEED_DIGITS + 1e-9) / SPEED_DIGITS;
}

function foundSpeed(
  { lot, surely }: LotThreshold,
  plan: PlanView,
  specimens: readonly SpecimenView[],
): { speedMmS: number; how: string } | null {
  const graded = specimens.filter((each) => each.lot === lot && each.grades[0].through !== undefined);
  if (graded.length === 0) return null;
  const through = ({ grades }: SpecimenView) =>
    (grades[0].through?.value ?? Number.POSITIVE_INFINITY) <= throughUpTo(plan.facts);
  if (graded.every(through)) {
    const speedMmS = Math.max(...graded.map(speedOf));
    const atIt = graded.filter((each) => speedOf(each) === speedMmS).length;
    // Slower cuts say nothing of this speed.
    const least = Math.floor(100 * leastShareOfAll(atIt));
    return {
      speedMmS,
      how:
        `the fastest that was tried, ${shown(speedMmS)} mm/s: every cut was through, ${atIt} of them at it: ` +
        `enough to expect at least ${least} in 100 to be (95 % sure)`,
    };
  }
  if (surely.estimate === null) return null;
  // A curve through few cuts may be flat: what it says of speeds far below all that was tried is a guess.
  const slowest = Math.min(...graded.map(speedOf));
  if (surely.estimate < slowest) return null;
  return {
    speedMmS: surely.estimate,
    how: `${shown(surely.estimate)} mm/s should be through 19 times in 20`,
  };
}

function conditionWords({ coolant, opticsHours }: ConditionsView): string {
  const said: string[] = [];
  if (coolant !== null) said.push(`coolant ${fromTo(coolant, "°C")}`);
  if (opticsHours !== null) said.push(`optics cleaned ${shown(opticsHours.most)} h of beam ago or less`);
  return said.join(", ");
}
