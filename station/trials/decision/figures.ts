import type { LotFigures } from "../../model/decision.js";
import { median } from "../../review/moments.js";
import { studentQuantile } from "../../review/student.js";
import type { Measure } from "./measures.js";

export const CONFIDENCE = 0.95;

/** What a lot has of a measure. Limits are of the mean, by Student's t, where there are two or more. */
export function figuresOf(
  { words }: Pick<Measure, "words">,
  lot: { readonly id: string; readonly name: string },
  values: readonly number[],
): LotFigures {
  const about = { lot: lot.id, name: lot.name, n: values.length, values };
  const none = { counts: null, median: median(values), mean: null, sd: null, lower: null, upper: null };
  if (words !== null) {
    return { ...about, ...none, counts: words.map((_, grade) => values.filter((v) => v === grade).length) };
  }
  if (values.length === 0) return { ...about, ...none };
  const { mean, sd } = spreadOf(values);
  const reach =
    sd === null
      ? null
      : (studentQuantile((1 + CONFIDENCE) / 2, values.length - 1) * sd) / Math.sqrt(values.length);
  return {
    ...{ ...about, ...none, mean, sd },
    lower: reach === null ? null : mean - reach,
    upper: reach === null ? null : mean + reach,
  };
}

function spreadOf(values: readonly number[]): { mean: number; sd: number | null } {
  const n = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / n;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, sd: n < 2 ? null : Math.sqrt(squares / (n - 1)) };
}
