/** The place of one value among comparable ones. */
export interface ConformalPlace {
  /** Two-sided; null without any to compare with. */
  readonly p: number | null;
  /** The least that it could have been with so many. */
  readonly leastP: number;
  /** How many of the others are below it and above it; alike ones count in neither. */
  readonly below: number;
  readonly above: number;
  /** Median and ends of the others; null without any. */
  readonly median: number | null;
  readonly least: number | null;
  readonly most: number | null;
  readonly n: number;
  readonly method: string;
  readonly warnings: readonly string[];
}

const METHOD = "rank among comparable runs (conformal p: V. Vovk, A. Gammerman and G. Shafer, 2005)";

/**
 * How odd a value is among others of its kind: if it is one of them, its rank is any of the n + 1 with the same chance, so that p
 * keeps what it promises for any spread and for three values as well (V. Vovk, A. Gammerman and G. Shafer, Algorithmic Learning in a
 * Random World, 2005; from memory). The smaller tail counts twice.
 * @param level what p is to come down to, or below, to say anything
 * @throws RangeError for a value that is no number
 */
export function conformalPlace(value: number, others: readonly number[], level = 0.05): ConformalPlace {
  if (!Number.isFinite(value) || !others.every(Number.isFinite))
    throw new RangeError("The values that are compared are numbers.");
  const n = others.length;
  const sorted = [...others].sort((a, b) => a - b);
  const below = sorted.filter((other) => other < value).length;
  const above = sorted.filter((other) => other > value).length;
  const leastP = Math.min(1, 2 / (n + 1));
  const at = (i: number) => sorted[i] ?? null;
  const [lower, upper] = [at((n - 1) >> 1), at(n >> 1)];
  return {
    p: n === 0 ? null : Math.min(1, (2 * (Math.min(n - below, n - above) + 1)) / (n + 1)),
    leastP,
    ...{ below, above, n, method: METHOD },
    median: lower === null || upper === null ? null : (lower + upper) / 2,
    least: at(0),
    most: at(n - 1),
    warnings:
      leastP > level
        ? [
            `${n === 1 ? "1 comparable run is" : `${n} comparable runs are`} too few to tell: ${Math.ceil(2 / level - 1 - 1e-9)} are the fewest that can.`,
          ]
        : [],
  };
}
