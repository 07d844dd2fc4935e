import type { PlanFacts } from "../../model/plan.js";
import type { SpecimenView } from "../../model/specimen.js";
import { isAlike } from "./cut-setting.js";

/** The specimens of a plan that count, and how many that were cut do not. */
export interface Counting {
  readonly counted: readonly SpecimenView[];
  /** Cut, and then cut again as another specimen, which counts in its place. */
  readonly replaced: readonly SpecimenView[];
  /** Cut with something other than planned that the plan does not vary, or in runs of different settings. */
  readonly otherwise: readonly SpecimenView[];
}

/**
 * One rule for all that is reckoned from specimens: those that were cut and are not spoilt; of one that was cut again only the
 * last; and only where all that the plan keeps alike was as planned. What the plan varies may be another than planned: then the
 * specimen counts at what it was cut with.
 * @param all of the plan
 */
export function countedOf(all: readonly SpecimenView[], { layout }: PlanFacts): Counting {
  const varied = layout.method === "search" || layout.vary === "speed" ? "speed_mm_s" : "power_pct";
  const byCode = new Map(all.map((each) => [each.code, each]));
  const counting = {
    counted: [] as SpecimenView[],
    replaced: [] as SpecimenView[],
    otherwise: [] as SpecimenView[],
  };
  for (const each of all) {
    if (each.state !== "cut") continue;
    if (isCutAgain(each, byCode)) counting.replaced.push(each);
    else if (each.cutWith === null || !isAlike(each.setting, each.cutWith, varied))
      counting.otherwise.push(each);
    else counting.counted.push(each);
  }
  return counting;
}

/** Whether any that was cut in its place, or in the place of that one, is cut and not spoilt. */
function isCutAgain(specimen: SpecimenView, byCode: ReadonlyMap<string, SpecimenView>): boolean {
  const seen = new Set<string>();
  for (let at: SpecimenView | undefined = specimen; at?.replacedBy != null; ) {
    if (seen.has(at.code)) return false;
    seen.add(at.code);
    at = byCode.get(at.replacedBy);
    if (at?.state === "cut") return true;
  }
  return false;
}
