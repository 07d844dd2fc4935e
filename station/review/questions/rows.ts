import type { Conditions, ReviewMark, ReviewRow, ReviewRun } from "../../model/review.js";
import { badRunReview } from "./bad-run.js";
import { reviewConditions } from "./conditions.js";
import { reviewMaterials } from "./materials.js";
import { pairsOf } from "./pairs.js";

/**
 * The answers about conditions and stocks as rows, for a file of them: of each condition over all runs, of each condition of each run that was not cut through,
 * and of each two stocks.
 */
export function reviewRows(
  runs: readonly ReviewRun[],
  conditions: Conditions,
  marks: readonly ReviewMark[],
): ReviewRow[] {
  const over = reviewConditions(runs, conditions, marks);
  const whole = over.conditions.map(
    (each): ReviewRow => ({ question: "conditions", subject: each.condition, ...picked(each) }),
  );
  const explain = badRunReview(runs, over, conditions);
  const bad = runs
    .filter(({ through }) => through === false)
    .flatMap(({ id, name }) =>
      explain(id).conditions.map(
        (each): ReviewRow => ({
          question: "conditions",
          run: name,
          subject: each.condition,
          ...picked(each),
        }),
      ),
    );
  const materials = pairsOf(runs).map(({ first, second }): ReviewRow => {
    const answer = reviewMaterials(runs, first, second, conditions);
    return { question: "materials", subject: `${second.name} over ${first.name}`, ...picked(answer) };
  });
  return [...whole, ...bad, ...materials];
}

function picked(answer: Omit<ReviewRow, "question" | "run" | "subject">) {
  const { verdict, sentence, estimate, lower, upper, p, n, method, warnings } = answer;
  return { verdict, sentence, estimate, lower, upper, p, n, method, warnings };
}
