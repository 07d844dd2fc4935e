import type { LotThreshold, ThresholdRatio } from "../../model/decision.js";
import type { Limited } from "../../model/limited.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { ratioLimits } from "../../review/ratio-limits.js";
import { thresholdSpeed } from "../../review/threshold.js";
import { settingOf } from "../plans/cut-setting.js";
import { cutsOfLot } from "../plans/plan-search.js";
import type { TrialCut } from "../search.js";
import { verdictOf } from "./difference.js";
import { CONFIDENCE } from "./figures.js";
import { between, shown } from "./shown.js";

/** Of a ladder: a light push with a finger counts as through. */
const FINGER = 1;

/** The worst grade of "Cut through" that counts as through. */
export function throughUpTo({ layout }: PlanView["facts"]): 0 | 1 {
  return layout.method === "search" ? layout.through_up_to : FINGER;
}

/** What a specimen was cut with, mm/s. */
export function speedOf(specimen: SpecimenView): number {
  return settingOf(specimen).speed_mm_s;
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
    return { lot: id, name, n, ...triedOf(cuts), half, surely, warnings };
  });
}

/** Of every two lots the second over the first. */
export function ratiosOf(thresholds: readonly LotThreshold[]): ThresholdRatio[] {
  return thresholds.flatMap((first, i) => thresholds.slice(i + 1).map((second) => ratioOf(first, second)));
}

function triedOf(cuts: readonly TrialCut[]): Pick<LotThreshold, "seen" | "tried"> {
  if (cuts.length === 0) return { seen: "nothing", tried: null };
  const speeds = cuts.map(({ speedMmS }) => speedMmS);
  const through = cuts.filter((cut) => cut.through).length;
  return {
    seen: through === cuts.length ? "all through" : through === 0 ? "none through" : "both",
    tried: { slowest: Math.min(...speeds), fastest: Math.max(...speeds) },
  };
}

function ratioOf(first: LotThreshold, second: LotThreshold): ThresholdRatio {
  const both = ratioLimits(second.half, first.half);
  const ratio = both.estimate === null ? openRatio(first, second) : both;
  const known = ratio.estimate !== null || ratio.lower !== null || ratio.upper !== null;
  const verdict = verdictOf(known ? 1 : 0, ratio.lower, ratio.upper, 1);
  return {
    ...{ first: first.lot, second: second.lot, verdict, ...ratio },
    sentence: ratioSentence(first, second, ratio, verdict),
  };
}

/**
 * The second over the first where one of them has no estimate, for it was always through or never. Each limit is one's own lower
 * over the other's upper, and so leaves the truth out no more often than the two together (C. Bonferroni's rule). What lies beyond
 * the speeds that were tried is not counted.
 */
function openRatio(first: LotThreshold, second: LotThreshold): Limited {
  const over = (of: number | null, by: number | null) => (of === null || by === null ? null : of / by);
  return {
    estimate: null,
    lower: over(leastOf(second), mostOf(first)),
    upper: over(mostOf(second), leastOf(first)),
  };
}

function leastOf({ half, tried, seen }: LotThreshold): number | null {
  if (half.lower === null || tried === null) return null;
  return seen === "all through" ? Math.min(half.lower, tried.fastest) : half.lower;
}

function mostOf({ half, tried, seen }: LotThreshold): number | null {
  if (half.upper === null || tried === null) return null;
  return seen === "none through" ? Math.max(half.upper, tried.slowest) : half.upper;
}

function ratioSentence(
  first: LotThreshold,
  second: LotThreshold,
  ratio: Limited,
  verdict: ThresholdRatio["verdict"],
): string {
  const what = "Fastest speed that cuts through";
  const { estimate, lower, upper } = ratio;
  const [faster, slower] = (estimate ?? lower ?? 0) > 1 ? [second, first] : [first, second];
  if (estimate === null) {
    const open = [first, second].flatMap(openWords);
    if (verdict === "apart") {
      const least = (lower ?? 0) > 1 ? (lower as number) : 1 / (upper as number);
      return `${what}: ${faster.name} cuts faster than ${slower.name}${atLeast(least)}; ${open.join(", and ")}.`;
    }
    const missing = [first, second].filter(({ half }) => half.estimate === null);
    const why = missing.every(({ seen }) => seen === "all through" || seen === "none through")
      ? open.join(", and ")
      : `no threshold was found for ${missing.map(({ name }) => name).join(" and ")}`;
    return `${what}: cannot tell ${first.name} and ${second.name} apart, for ${why}.`;
  }
  const limits = between(lower, upper, "times");
  const speeds = `${shown(second.half.estimate as number)} against ${shown(first.half.estimate as number)} mm/s, ${shown(estimate)} times (${limits})`;
  if (verdict !== "apart") return `${what}: cannot tell ${first.name} and ${second.name} apart; ${speeds}.`;
  return `${what}: ${second.name} cuts ${estimate > 1 ? "faster" : "slower"} than ${first.name}, ${speeds}.`;
}

/** Why a threshold is open at one end. */
function openWords({ name, seen, tried }: LotThreshold): string[] {
  if (tried === null || (seen !== "all through" && seen !== "none through")) return [];
  return seen === "all through"
    ? [`${name} was through every time, up to ${shown(tried.fastest)} mm/s`]
    : [`${name} was never through, down to ${shown(tried.slowest)} mm/s`];
}

/** Downwards: "at least" promises no more than is known. */
function atLeast(ratio: number): string {
  const hundredths = Math.floor(ratio * 100 + 1e-9);
  return hundredths > 100 ? `, at least ${shown(hundredths / 100)} times as fast` : "";
}
