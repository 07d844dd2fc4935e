import { chiSquareAbove } from "../chi-square.js";
import { groupedBy } from "../grouped.js";
import { sumOfSquares } from "../moments.js";
import type { Base, JudgedRun } from "./base.js";
import { fitted, shareOf } from "./fitted.js";
import { type Course, knownIn } from "./together.js";

/** What outcomes that hang together are told from, in words. */
export const FROM_GO_TO_GO = "what else changed from one block of cuts to the next";
/** Runs that follow each other, where no block is told. */
const IN_A_ROW = 6;
/** Of chi-square: outcomes that hang together more than so many of ten histories in which they do not. */
const SUSPECT = 0.2;
/** Of a condition's variance: mostly from block to block, and hardly within one. */
const MOSTLY = 0.6;

/**
 * Whether a condition changed mostly from one block of cuts to the next, while outcomes within a block are more alike than setting and
 * conditions account for. Each block then tells hardly more than one cut does, and a condition that seems to matter may be any other
 * thing that changed along: how the sheet lay, how the mirrors were set. Blocks are those that were told, else six runs in a row.
 * @param beside what is in the fit
 */
export function changedWithBlocks(base: Base, course: Course, beside: readonly Course[]): boolean {
  const all = [...beside, course];
  const runs = knownIn(base.runs, all);
  const blocks = blocksOf(runs);
  if (blocks.length < 3 || betweenShare(blocks, course) < MOSTLY) return false;
  const fit = fitted(base, all);
  if (fit === null) return false;
  const shares = new Map(fit.runs.map((run, row) => [run, shareOf(fit.logits[row] as number)]));
  let chiSquare = 0;
  for (const block of blocks) {
    let [off, variance] = [0, 0];
    for (const run of block) {
      const share = shares.get(run) as number;
      off += (run.through ? 1 : 0) - share;
      variance += share * (1 - share);
    }
    chiSquare += off ** 2 / variance;
  }
  const freedom = blocks.length - fit.size;
  return freedom > 0 && chiSquareAbove(chiSquare, freedom) <= SUSPECT;
}

function blocksOf(runs: readonly JudgedRun[]): JudgedRun[][] {
  const told = runs.filter(({ block }) => block !== null);
  if (told.length * 2 >= runs.length)
    return [...groupedBy(told, ({ material, block }) => JSON.stringify([material, block])).values()];
  const inTime = [...runs].sort((a, b) => (a.wall ?? 0) - (b.wall ?? 0));
  const rows = Array.from({ length: Math.ceil(inTime.length / IN_A_ROW) }, (_, i) => i * IN_A_ROW);
  return rows.map((from) => inTime.slice(from, from + IN_A_ROW));
}

/** The share of a condition's variance that lies between blocks: the intraclass correlation by analysis of variance (R. A. Fisher, 1925; from memory). */
function betweenShare(blocks: readonly (readonly JudgedRun[])[], course: Course): number {
  const values = blocks.map((block) => block.map((run) => course.of(run) as number));
  const all = values.flat();
  const n = all.length;
  const within = values.reduce((sum, block) => sum + sumOfSquares(block), 0);
  const between = sumOfSquares(all) - within;
  const size = n / values.length;
  const [a, b] = [between / (values.length - 1), within / Math.max(1, n - values.length)];
  return a + (size - 1) * b === 0 ? 0 : (a - b) / (a + (size - 1) * b);
}
