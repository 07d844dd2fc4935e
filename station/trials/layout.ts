import { choose } from "../review/choose.js";
/** A cut of a plan before it has a place in the order. */
export interface PlannedCut {
  /** A place among the plan's lots, from 0. */
  readonly lot: number;
  /** A place among the rungs of its ladder, from 0. */
  readonly rung: number;
}

/**
 * Blocks, each with every lot at every rung once, in an order drawn by lot within the block: what drifts from block to block is
 * the same for all lots, and what drifts within one meets them by chance (randomised complete block design; R. A. Fisher, The
 * Design of Experiments, 1935; from memory).
 * @param lots 1 or more
 * @param rungs of the ladder, 1 or more
 * @param replicates how many blocks
 * @param randomOf uniform from 0 to 1, a stream of its own for each block, so that a block that is added leaves the others alone
 * @throws RangeError
 */
export function layBlocks(
  lots: number,
  rungs: number,
  replicates: number,
  randomOf: (block: number) => () => number,
): PlannedCut[][] {
  if (![lots, rungs, replicates].every((count) => Number.isInteger(count) && count >= 1)) {
    throw new RangeError("A plan has one lot, one rung and one block, or more of them.");
  }
  return Array.from({ length: replicates }, (_, block) => {
    const cuts = Array.from({ length: lots * rungs }, (_none, i) => ({
      lot: i % lots,
      rung: Math.floor(i / lots),
    }));
    return shuffled(cuts, randomOf(block));
  });
}

/** Every order as likely as any other (R. A. Fisher and F. Yates, 1938; R. Durstenfeld, 1964; from memory). */
function shuffled<T>(given: readonly T[], random: () => number): T[] {
  const items = [...given];
  for (let i = items.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [items[i], items[j]] = [items[j] as T, items[i] as T];
  }
  return items;
}

/**
 * The least two-sided p that a permutation test of two lots can come to, however different they are: two of all the ways in which
 * the labels could have fallen. Above the level asked for, the plan can never show a difference.
 * @param strata how many cuts of each lot are compared with each other, in each part within which labels are exchanged
 * @returns 0 to 1
 */
export function leastP(strata: readonly number[]): number {
  let ways = 1;
  for (const each of strata) ways *= choose(2 * each, each);
  return Math.min(1, 2 / ways);
}
