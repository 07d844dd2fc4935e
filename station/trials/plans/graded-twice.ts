import type { PlanFacts } from "../../model/plan.js";
import type { Specimen } from "../../model/specimen.js";
import { createRandom } from "../../random.js";
import { groupedBy } from "../../review/grouped.js";

/** Marks the stream of random numbers that this is drawn from. */
const STREAM = 0x7477_6963;

/**
 * The codes of the specimens that are graded a second time: drawn by lot within each block, by the plan's seed, so that nobody
 * picks them. A block's draw goes by its planned places alone and by how many there are up to it, so that it stays the same
 * whatever is cut again and however many blocks a search comes to. What is cut in the place of another is drawn if that one was.
 */
export function gradedTwice(
  specimens: readonly Pick<Specimen, "code" | "block" | "place" | "replaces">[],
  { second_share, seed }: Pick<PlanFacts, "second_share" | "seed">,
): ReadonlySet<string> {
  const drawn = new Set<string>();
  const planned = specimens.filter(({ replaces }) => replaces === null);
  const blocks = [...groupedBy(planned, ({ block }) => block)].sort(([a], [b]) => a - b);
  let laid = 0;
  for (const [block, its] of blocks) {
    const before = shareOf(laid, second_share);
    laid += its.length;
    const lots = its.map(({ code, place }) => ({ code, at: createRandom(seed, STREAM, block, place)() }));
    lots.sort((a, b) => a.at - b.at);
    for (const { code } of lots.slice(0, shareOf(laid, second_share) - before)) drawn.add(code);
  }
  // In the order of their codes' making one that replaces stands behind the one it replaces; a chain is followed all the same.
  let grown = -1;
  while (grown !== drawn.size) {
    grown = drawn.size;
    for (const { code, replaces } of specimens) if (replaces !== null && drawn.has(replaces)) drawn.add(code);
  }
  return drawn;
}

function shareOf(laid: number, share: number): number {
  // 0.1 of 30 is not exact.
  return Math.ceil(share * laid - 1e-9);
}
