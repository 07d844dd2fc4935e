import type { PropertyComparison, ThresholdRatio, Verdict } from "../../model/decision.js";
import { counted } from "../../review/counted.js";
import { fewestPairs } from "../../review/paired.js";
import { CONFIDENCE } from "./figures.js";

interface Pair {
  readonly first: string;
  readonly second: string;
  readonly verdict: Verdict;
  readonly sentence: string;
}

/**
 * A sentence for each conclusion. What is found is said for itself; what cannot be told is said for itself where it is one thing, and in
 * one sentence where it is several, without the numbers, which stand with each property.
 * @param costs sentences already
 * @param nameOf what a lot is called in sentences, by its id
 */
export function conclude(
  ratios: readonly ThresholdRatio[],
  properties: readonly PropertyComparison[],
  costs: readonly string[],
  nameOf: (lot: string) => string,
): string[] {
  const told = properties.filter(({ lots }) => lots.some(({ n }) => n > 0));
  return [
    ...together("Fastest speed that cuts through", ratios, nameOf),
    ...told.flatMap(({ name, differences }) =>
      together(
        name,
        differences.filter(({ verdict }) => verdict === "apart" || verdict === "cannot tell"),
        nameOf,
      ),
    ),
    ...without(
      told,
      "too few",
      `Too few pairs to tell the lots apart (${fewestPairs(CONFIDENCE)} are the fewest that can)`,
      nameOf,
    ),
    ...without(told, "nothing", "No two were looked at in the same block at the same setting", nameOf),
    ...costs,
  ];
}

/** Those that are apart each for itself; of the others one alone too, and several together. */
function together(what: string, pairs: readonly Pair[], nameOf: (lot: string) => string): string[] {
  const known = pairs.filter(({ verdict }) => verdict === "apart").map(({ sentence }) => sentence);
  const open = pairs.filter(({ verdict }) => verdict !== "apart");
  if (open.length < 2) return [...known, ...open.map(({ sentence }) => sentence)];
  return [...known, `${what}: cannot tell apart ${pairWords(open, nameOf)}.`];
}

/** "L1 and L2, L1 and L3" */
function pairWords(pairs: readonly Pair[], nameOf: (lot: string) => string): string {
  return pairs.map(({ first, second }) => `${nameOf(first)} and ${nameOf(second)}`).join(", ");
}

/** Of all properties those comparisons that came to nothing for one reason. */
function without(
  properties: readonly PropertyComparison[],
  verdict: "too few" | "nothing",
  why: string,
  nameOf: (lot: string) => string,
): string[] {
  const its = properties.flatMap((property) => {
    const pairs = property.differences.filter((each) => each.verdict === verdict);
    return pairs.length === 0 ? [] : [{ property, pairs }];
  });
  const all = its.flatMap(({ pairs }) => pairs);
  if (all.length === 1) return all.map(({ sentence }) => sentence);
  if (all.length === 0) return [];
  const words = its.map(({ property, pairs }) => {
    const counts = pairs.map((each) => each.pairs);
    const most = Math.max(...counts);
    const atMost = Math.min(...counts) < most ? " at most" : "";
    const size = verdict === "nothing" ? "" : ` (${counted(most, "pair")}${atMost})`;
    const whole = pairs.length === property.differences.length;
    return `${property.name}${whole ? "" : `, ${pairWords(pairs, nameOf)}`}${size}`;
  });
  return [`${why}: ${words.join("; ")}.`];
}
