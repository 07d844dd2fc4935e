import { logChoose } from "./choose.js";
import type { Reckoned } from "./reckoned.js";

/** Two lots and one outcome: how many of each had it and had it not. Whole numbers of 0 or more. */
export interface Table {
  readonly firstHits: number;
  readonly firstMisses: number;
  readonly secondHits: number;
  readonly secondMisses: number;
}

/** How the odds of a hit differ between two lots, from counts alone. */
export interface ExactOddsRatio extends Reckoned {
  /** Odds of the second over those of the first, the conditional maximum-likelihood estimate; 0 or infinite where the hits fell to one lot as far as they could; null where the counts say nothing. */
  readonly estimate: number | null;
  /** 0 and Infinity where there is no limit on that side; null where the counts say nothing. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Two-sided: how likely outcomes are that are no likelier than these, where the lots are alike. */
  readonly p: number | null;
  /** The same with half of the chance of this very outcome: less cautious, and nearer to its level. */
  readonly midP: number | null;
}

const METHOD =
  "exact conditional test of the odds within blocks (Fisher's where there is one block); limits by its tails, conditional maximum likelihood";
/** Chances that differ by rounding alone are alike. */
const ALIKE = 1 + 1e-7;
const HALVINGS = 80;
const FURTHEST = 300;

/**
 * The common odds ratio of two lots over blocks, exactly, given how many hits each block had: R. A. Fisher's test for one block, and
 * for several its conditional extension (D. R. Cox, "A simple example of a comparison involving quantal data", Biometrika 53, 1966;
 * J. J. Gart, "Point and interval estimation of the common odds ratio", Biometrika 57, 1970; both from memory). A block
 * in which all were hits, or none, or which has one lot only, says nothing and changes nothing.
 * @param confidence above 0 and below 1
 * @throws RangeError for counts that are not whole numbers of 0 or more
 */
export function exactOddsRatio(blocks: readonly Table[], confidence = 0.95): ExactOddsRatio {
  for (const table of blocks) {
    if (!Object.values(table).every((count) => Number.isInteger(count) && count >= 0))
      throw new RangeError("The counts of a table are whole numbers, 0 or more.");
  }
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  const n = blocks.reduce(
    (sum, { firstHits, firstMisses, secondHits, secondMisses }) =>
      sum + firstHits + firstMisses + secondHits + secondMisses,
    0,
  );
  const about = { n, confidence, method: METHOD };
  const { least, weights } = conditional(blocks);
  if (weights.length < 2) {
    const none = { estimate: null, lower: null, upper: null, p: null, midP: null };
    return { ...none, ...about, warnings: ["In no block could the outcome have told the lots apart."] };
  }
  const seen = blocks.reduce((sum, { secondHits }) => sum + secondHits, 0) - least;
  const chances = chancesAt(weights, 0);
  const its = chances[seen] as number;
  const p = chances.reduce((sum, chance) => sum + (chance <= its * ALIKE ? chance : 0), 0);
  const tail = (1 - confidence) / 2;
  const last = weights.length - 1;
  return {
    estimate: seen === 0 ? 0 : seen === last ? Number.POSITIVE_INFINITY : odds(weights, meanIs(seen)),
    lower: seen === 0 ? 0 : odds(weights, (at) => from(at, seen) - tail),
    upper: seen === last ? Number.POSITIVE_INFINITY : odds(weights, (at) => tail - upTo(at, seen)),
    p: Math.min(1, p),
    midP: Math.min(1, p - its / 2),
    ...about,
    warnings:
      seen === 0 || seen === last
        ? ["The hits fell to one lot as far as they could: one limit is open."]
        : [],
  };
}

/** How many hits of the second lot there may be, and the logarithm of in how many ways each: blocks are folded into each other. */
function conditional(blocks: readonly Table[]): { least: number; weights: number[] } {
  let least = 0;
  let weights = [0];
  for (const { firstHits, firstMisses, secondHits, secondMisses } of blocks) {
    const [first, second, hits] = [
      firstHits + firstMisses,
      secondHits + secondMisses,
      firstHits + secondHits,
    ];
    const from = Math.max(0, hits - first);
    const to = Math.min(hits, second);
    const own: number[] = [];
    for (let k = from; k <= to; k++) own.push(logChoose(second, k) + logChoose(first, hits - k));
    least += from;
    weights = folded(weights, own);
  }
  return { least, weights };
}

function folded(a: readonly number[], b: readonly number[]): number[] {
  return Array.from({ length: a.length + b.length - 1 }, (_, k) => {
    const parts: number[] = [];
    for (let i = Math.max(0, k - b.length + 1); i <= Math.min(k, a.length - 1); i++)
      parts.push((a[i] as number) + (b[k - i] as number));
    const top = Math.max(...parts);
    return top + Math.log(parts.reduce((sum, part) => sum + Math.exp(part - top), 0));
  });
}

/** @param logOdds of the second lot over the first */
function chancesAt(weights: readonly number[], logOdds: number): number[] {
  const logs = weights.map((weight, k) => weight + k * logOdds);
  const top = Math.max(...logs);
  const parts = logs.map((log) => Math.exp(log - top));
  const sum = parts.reduce((all, part) => all + part, 0);
  return parts.map((part) => part / sum);
}

function from(chances: readonly number[], seen: number): number {
  return chances.slice(seen).reduce((sum, chance) => sum + chance, 0);
}

function upTo(chances: readonly number[], seen: number): number {
  return chances.slice(0, seen + 1).reduce((sum, chance) => sum + chance, 0);
}

function meanIs(seen: number): (chances: readonly number[]) => number {
  return (chances) => chances.reduce((sum, chance, k) => sum + k * chance, 0) - seen;
}

/** Where something that grows with the odds is 0. */
function odds(weights: readonly number[], of: (chances: readonly number[]) => number): number {
  let low = -FURTHEST;
  let high = FURTHEST;
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2;
    if (of(chancesAt(weights, middle)) < 0) low = middle;
    else high = middle;
  }
  return Math.exp((low + high) / 2);
}
