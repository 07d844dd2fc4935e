import type { Block } from "./block.js";
import { choose } from "./choose.js";

/** Whether two lots differ, by nothing but which value could have been whose. */
export interface PermutationTest {
  /** The mean of the blocks' differences of means, second less first, each block weighing as much as it tells; null without any. */
  readonly estimate: number | null;
  /** Two-sided; null without a block that tells. */
  readonly p: number | null;
  /** The least that it could have been, whatever the values. */
  readonly leastP: number;
  /** How many labellings were looked at: all there are, or as many as were drawn. */
  readonly looked: number;
  readonly exact: boolean;
  readonly n: number;
  readonly method: string;
  readonly warnings: readonly string[];
}

/** Labellings that are all looked at; beyond, so many are drawn. */
const MOST_LOOKED = 200_000;
const DRAWN = 100_000;
const ALIKE = 1e-9;

/**
 * R. A. Fisher's permutation test within blocks (The Design of Experiments, 1935; from memory): labels are exchanged only between
 * values of one block, so that what differs from block to block cannot pass for a lot. All labellings where they can be
 * counted, and else a drawn share, which with the seen one counts as (more + 1) / (drawn + 1) (B. Phipson and G. K. Smyth, 2010).
 * Drawing takes some tenths of a second: for the reading thread.
 * @param random uniform from 0 to 1
 * @throws RangeError for a value that is no number
 */
export function stratifiedPermutation(blocks: readonly Block[], random: () => number): PermutationTest {
  for (const { first, second } of blocks) {
    if (![...first, ...second].every(Number.isFinite))
      throw new RangeError("The values of blocks are numbers.");
  }
  const telling = blocks.filter(({ first, second }) => first.length > 0 && second.length > 0).map(weighed);
  const n = telling.reduce((sum, { values }) => sum + values.length, 0);
  const ways = telling.reduce((product, { values, chosen }) => product * choose(values.length, chosen), 1);
  const weight = telling.reduce((sum, block) => sum + block.weight, 0);
  if (telling.length === 0 || !(weight > 0)) {
    const none = { estimate: null, p: null, leastP: 1, looked: 0, exact: true };
    return { ...none, n, method: METHOD, warnings: ["No block has values of both."] };
  }
  const seen = telling.reduce((sum, block) => sum + block.seen, 0);
  const enough = Math.abs(seen) - ALIKE * telling.reduce((sum, { scale }) => sum + scale, 0);
  const exact = ways <= MOST_LOOKED;
  let more = 0;
  let looked = 0;
  const look = (sum: number) => {
    looked += 1;
    if (Math.abs(sum) >= enough) more += 1;
  };
  if (exact) {
    const each = telling.map(allSums);
    const walk = (block: number, sum: number): void => {
      const sums = each[block];
      if (sums === undefined) look(sum);
      else for (const own of sums) walk(block + 1, sum + own);
    };
    walk(0, 0);
  } else {
    look(seen);
    for (let i = 0; i < DRAWN; i++) look(telling.reduce((sum, block) => sum + drawnSum(block, random), 0));
  }
  // Where the two have as many in every block, turning all labels round is another labelling as far off.
  const mirrored = telling.every(({ values, chosen }) => 2 * chosen === values.length);
  return {
    estimate: seen / weight,
    p: more / looked,
    leastP: Math.min(1, Math.max((mirrored ? 2 : 1) / ways, exact ? 0 : 1 / looked)),
    ...{ looked, exact, n, method: METHOD },
    warnings: exact ? [] : [`${DRAWN} of the labellings were drawn, for there are too many to look at all.`],
  };
}

const METHOD = "permutation of the labels within blocks, by the difference of the means";

interface Weighed {
  /** Those of the second last. */
  readonly values: readonly number[];
  /** How many are the second's. */
  readonly chosen: number;
  /** What the block's difference counts: first · second / both, the inverse of its variance. */
  readonly weight: number;
  /** Weight times difference, which is the sum of the second's less their share of all. */
  readonly seen: number;
  readonly scale: number;
}

function weighed({ first, second }: Block): Weighed {
  const all = [...first, ...second];
  // Less their mean, so that large values do not cancel.
  const mean = all.reduce((sum, value) => sum + value, 0) / all.length;
  const values = all.map((value) => value - mean);
  const seen = values.slice(first.length).reduce((sum, value) => sum + value, 0);
  return {
    values,
    chosen: second.length,
    weight: (first.length * second.length) / all.length,
    seen,
    scale: values.reduce((sum, value) => sum + Math.abs(value), 0),
  };
}

function allSums({ values, chosen }: Weighed): number[] {
  const sums: number[] = [];
  const walk = (from: number, left: number, sum: number): void => {
    if (left === 0) sums.push(sum);
    else
      for (let i = from; i <= values.length - left; i++) walk(i + 1, left - 1, sum + (values[i] as number));
  };
  walk(0, chosen, 0);
  return sums;
}

function drawnSum({ values, chosen }: Weighed, random: () => number): number {
  const left = [...values];
  let sum = 0;
  for (let k = 0; k < chosen; k++) {
    const i = k + Math.floor(random() * (left.length - k));
    sum += left[i] as number;
    left[i] = left[k] as number;
  }
  return sum;
}
