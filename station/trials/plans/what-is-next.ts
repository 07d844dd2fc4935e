import type { LatePlan } from "../../journal/trials/calls.js";
import type { Entry } from "../../model/entry.js";
import type { TrialNow } from "../../model/specimen.js";

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

/**
 * The specimen that the next run is of; null for none. Not one whose outcome is only to be told, unless the beam's line began its
 * run, and may begin another of the same piece.
 */
export function forJobSheet({ need, specimen, last }: TrialNow): TrialNow["specimen"] {
  if (need.need === "cut" || need.need === "done") return specimen;
  const beam = need.need === "outcome" && last?.code === need.code && last.runs.at(-1)?.cause === "laser-on";
  return beam ? specimen : null;
}
