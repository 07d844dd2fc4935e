import type { Ladder, PlanFacts, PlanPreview } from "../../model/plan.js";
import { ladderWords, piecesWords } from "../plan-words.js";

/** What a plan can show, before anything is cut. Takes its time: for the reading thread. */
export function previewPlan(facts: PlanFacts): PlanPreview {
  const { layout, lots } = facts;
  if (layout.method === "ladder") {
    return {
      cuts: lots.length * layout.rungs.length * layout.replicates,
      sentences: ladderSentences(layout, lots.length),
    };
  }
  const { slowest_mm_s, fastest_mm_s, within_pct, most_cuts } = layout;
  return {
    cuts: lots.length * most_cuts,
    sentences: [
      `Each lot is cut until its fastest speed is known to ${within_pct} % either way, which holds 9 times in 10, or until it was cut ${most_cuts} times.`,
      `The search looks between ${slowest_mm_s} and ${fastest_mm_s} mm/s, and says so where the fastest speed lies beyond.`,
      ...(lots.length === 1
        ? []
        : [
            "Each round has one cut of every lot that is not known well enough yet, in an order drawn by lot. All else is graded at different speeds, so the lots are not compared by it.",
          ]),
    ],
  };
}

function ladderSentences({ vary, rungs, replicates }: Ladder, lots: number): string[] {
  const pieces = rungs.length * replicates;
  if (lots === 1) {
    return [
      "One lot: no lots are compared. Blocks show whether anything changes while you cut.",
      ...(pieces < FEW
        ? [`${pieces === 1 ? "1 cut says" : `${pieces} cuts say`} little: make six or more.`]
        : []),
    ];
  }
  // Each lot is cut once at each rung of a block, so that pieces are compared pair by pair.
  const words = [...piecesWords(pieces).sentences];
  if (vary === "speed" && rungs.length >= 2) {
    const ladder = {
      slowestMmS: Math.min(...rungs),
      fastestMmS: Math.max(...rungs),
      rungs: rungs.length,
      blocks: replicates,
    };
    words.unshift(...ladderWords(ladder, lots).sentences);
  }
  return words;
}

/** Below, limits are so wide that a few cuts more are worth more than any reckoning. */
const FEW = 6;
