import type { LatePlan } from "../../journal/trials/calls.js";
import type { Entry } from "../../model/entry.js";

/** Of grades only that of "Cut through" says what is to be done next; the others are many, and the wall does not wait for them. */
export function saysWhatIsNext({ kind, property }: Entry): boolean {
  return (
    kind === "step" || kind === "checks" || kind === "phase" || (kind === "grade" && property === "through")
  );
}

/** What of it the running plan goes by. */
export function coreOf(late: LatePlan): LatePlan {
  return { ...late, entries: late.entries.filter(saysWhatIsNext) };
}
