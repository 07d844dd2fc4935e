import type { LotThreshold, ThresholdRatio } from "../../model/decision.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { ratioLimits } from "../../review/ratio-limits.js";
import { thresholdSpeed } from "../../review/threshold.js";
import { cutsOfLot } from "../plans/plan-search.js";
import { verdictOf } from "./difference.js";
import { CONFIDENCE } from "./figures.js";
import { shown } from "./shown.js";

/** Of a ladder: a light push with a finger counts as through. */
const FINGER = 1;

/** The worst grade of "Cut through" that counts as through. */
export function throughUpTo({ layout }: PlanView["facts"]): 0 | 1 {
  return layout.method === "search" ? layout.through_up_to : FINGER;
}

/** What a specimen was cut with, mm/s. */
export function speedOf({ setting, cutWith }: SpecimenView): number {
  return (cutWith ?? setting).speed_mm_s;
}

/** The fastest speed that cuts through, of each lot; none for a plan that varies the power. */
export function thresholdsOf(
  plan: PlanView,
  lots: readonly { readonly id: string; readonly name: string }[],
  counted: readonly SpecimenView[],
): LotThreshold[] {
  const { layout } = plan.facts;
  if (layout.method === "ladder" && layout.vary === "power") return [];
  return lots.map(({ id, name }) => {
    const cuts = cutsOfLot(counted, id, throughUpTo(plan.facts));
    const { half, surely, n, warnings } = thresholdSpeed(cuts, CONFIDENCE);
    return { lot: id, name, n, half, surely, warnings };
  });
}

/** Of every two lots the second over the first. */
export function ratiosOf(thresholds: readonly LotThreshold[]): ThresholdRatio[] {
  return thresholds.flatMap((first, i) => thresholds.slice(i + 1).map((second) => ratioOf(first, second)));
}

function ratioOf(first: LotThreshold, second: LotThreshold): ThresholdRatio {
  const ratio = ratioLimits(second.half, first.half);
  const verdict = verdictOf(ratio.estimate === null ? 0 : 1, ratio.lower, ratio.upper, 1);
  return {
    ...{ first: first.lot, second: second.lot, verdict, ...ratio },
    sentence: ratioSentence(first, second, ratio, verdict),
  };
}

function ratioSentence(
  first: LotThreshold,
  second: LotThreshold,
  { estimate, lower, upper }: Pick<ThresholdRatio, "estimate" | "lower" | "upper">,
  verdict: ThresholdRatio["verdict"],
): string {
  const what = "Fastest speed that cuts through";
  if (estimate === null) {
    const missing = [first, second].filter(({ half }) => half.estimate === null).map(({ name }) => name);
    return `${what}: cannot tell, for no threshold was found for ${missing.join(" and ")}.`;
  }
  const times = (value: number) => shown(value);
  const limits =
    lower !== null && upper !== null
      ? `limits ${times(lower)} to ${times(upper)}`
      : lower !== null
        ? `${times(lower)} or more`
        : upper !== null
          ? `${times(upper)} or less`
          : "no limits";
  const speeds = `${shown(second.half.estimate as number)} against ${shown(first.half.estimate as number)} mm/s, ${times(estimate)} times (${limits})`;
  if (verdict !== "apart") return `${what}: cannot tell ${first.name} and ${second.name} apart; ${speeds}.`;
  return `${what}: ${second.name} cuts ${estimate > 1 ? "faster" : "slower"} than ${first.name}, ${speeds}.`;
}
