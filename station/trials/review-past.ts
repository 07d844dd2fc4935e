import type { PastRun } from "../model/past-run.js";
import { groupedBy } from "../review/grouped.js";
import type { ReviewedRun } from "./review-runs.js";

export interface GivenPastRun {
  /** Unique. */
  readonly id: string;
  readonly body: PastRun;
}

/** Sheets that are called alike and are further apart in thickness than this share are not of one stock (common practice, no source). */
const ALIKE_SHARE = 0.1;
/** In steps of this, mm, a measured thickness is told where it has to be. */
const STEP_MM = 0.5;

/**
 * Runs from before the station, as they were written down. Of a run that was entered again, with the same name and the same start, the
 * latest counts.
 * @param given oldest first
 * @param called what stands before a name that is no more than a number; null leaves names as they were written
 */
export function reviewedPast(given: readonly GivenPastRun[], called: string | null): ReviewedRun[] {
  const latest = new Map(given.map((each) => [`${each.body.startedWall} ${each.body.run}`, each]));
  const runs = [...latest.values()];
  const mixed = mixedMaterials(runs);
  return runs.map(({ id, body }, i) => ({
    run: {
      id,
      name: called !== null && /^\d/.test(body.run) ? `${called} ${body.run}` : body.run,
      wall: body.startedWall,
      material: mixed.has(body.material) ? withThickness(body) : body.material,
      ...{ lot: body.lot, block: body.block },
      ...{ speed_mm_s: body.speed_mm_s, power_pct: body.power_pct, passes: body.passes },
      ...{ through: body.through, grade: body.grade, strength: null },
      conditions: Object.fromEntries(
        Object.entries(body.conditions).filter(([, value]) => Number.isFinite(value)),
      ),
    },
    past: true,
    ...{ lot: null, plan: null, coolantRange: null },
    // Without a time of its own it is taken to be older than all that have one, in the order of its sheet.
    order: body.startedWall ?? Number.MIN_SAFE_INTEGER + i,
  }));
}

/** Names under which sheets of more than one thickness were cut. */
function mixedMaterials(runs: readonly GivenPastRun[]): ReadonlySet<string> {
  const mixed = new Set<string>();
  for (const [material, its] of groupedBy(runs, ({ body }) => body.material)) {
    let [thinnest, thickest] = [Number.POSITIVE_INFINITY, 0];
    for (const { body } of its) {
      if (body.thickness_mm === null) continue;
      thinnest = Math.min(thinnest, body.thickness_mm);
      thickest = Math.max(thickest, body.thickness_mm);
    }
    if (thickest > thinnest * (1 + ALIKE_SHARE)) mixed.add(material);
  }
  return mixed;
}

function withThickness({ material, thickness_mm }: PastRun): string {
  if (thickness_mm === null) return `${material}, thickness not known`;
  return `${material} ${Math.max(STEP_MM, Math.round(thickness_mm / STEP_MM) * STEP_MM)} mm`;
}
