import type { ExperimentPlan } from "../../../../station/model/review.js";
import { NOTHING_TYPED } from "../typed/numbers.js";
import { emptyPlan, type PlanDraft } from "./plan-draft.js";

/** The address of a new plan that begins with an experiment. */
export function addressOf({ title, speed_mm_s, power_pct, passes, pieces, note }: ExperimentPlan): string {
  const query = new URLSearchParams({ title, replicates: String(pieces), note });
  for (const [name, value] of Object.entries({ speed_mm_s, power_pct, passes }))
    if (value !== null) query.set(name, String(value));
  return `/plans/new?${query}`;
}

/** What a plan begins with: usual figures, and those of its address, which stand in the form like typed ones and are judged like them. */
export function begunWith(query: Readonly<Record<string, string>>, seed: number): PlanDraft {
  const empty = emptyPlan(seed);
  const typed = { ...empty.typed };
  for (const name of ["title", "replicates", "power_pct", "passes", "note"] as const) {
    const value = query[name];
    if (value !== undefined) typed[name] = value;
  }
  const speed = Number(query.speed_mm_s ?? Number.NaN);
  return { ...empty, typed, rungs: speed > 0 ? { taken: [speed], typing: "" } : NOTHING_TYPED };
}
