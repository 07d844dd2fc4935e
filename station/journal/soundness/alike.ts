import type { Rollup } from "../rollup.js";

/** Whether two lists hold the same rollups, in whatever order. */
export function alikeRollups(a: readonly Rollup[], b: readonly Rollup[]): boolean {
  const others = new Map(b.map((rollup) => [rollup.place, rollup]));
  return a.length === b.length && a.every((rollup) => alike(rollup, others.get(rollup.place)));
}

/** Sums as near as adding in another order lets them be. */
export function alike(a: Rollup, b: Rollup | undefined): boolean {
  if (b === undefined) return false;
  const slack = 1e-9 * Math.max(1, Math.abs(a.sum), a.count * Math.max(Math.abs(a.min), Math.abs(a.max)));
  const sums = a.count === 0 || Object.is(a.sum, b.sum) || Math.abs(a.sum - b.sum) <= slack;
  const spans = a.count === 0 || (a.min === b.min && a.max === b.max);
  return a.count === b.count && a.bad === b.bad && spans && sums;
}
