import { randomUUID } from "node:crypto";
import type { Entry } from "../../model/entry.js";
import type { CheckId, PlanPhase } from "../../model/plan.js";

/** Entries that the station makes of what somebody pressed: no phone has given them an id. @param by the screen's own name */
function ownEntry(by: string | null) {
  return { entry: randomUUID(), enteredWall: null, property: "", by };
}

export function phaseEntry(
  id: string,
  phase: Exclude<PlanPhase, "ready">,
  by: string | null,
): Entry<"phase"> {
  return { ...ownEntry(by), kind: "phase", subject: id, body: { phase } };
}

export function checksEntry(
  id: string,
  block: number,
  done: readonly CheckId[],
  by: string | null,
): Entry<"checks"> {
  return { ...ownEntry(by), kind: "checks", subject: id, body: { block, done: [...done] } };
}
