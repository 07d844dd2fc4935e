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
      `Each lot is cut until its threshold speed is known within ${within_pct} % either way, at 90 in 100, or ${most_cuts} times.`,
      `It finds a threshold between ${slowest_mm_s} and ${fastest_mm_s} mm/s, and says so where it lies beyond.`,
      ...(lots.length === 1
        ? []
        : [
            "Each round has one cut of every lot that is not known well enough yet, in an order drawn by lot. Other properties are seen at different speeds, so they are not compared.",
          ]),
    ],
  };
}

function ladderSentences({ vary, rungs, replicates }: Ladder, lots: number): string[] {
  const pieces = rungs.length * replicates;
  if (lots === 1) {
    return [
      "One lot: nothing is compared. The blocks tell what drifts from what the setting does.",
      ...(pieces < FEW ? [`${pieces} cuts say little: six or more give limits that are worth having.`] : []),
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
