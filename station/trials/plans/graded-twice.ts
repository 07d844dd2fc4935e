import type { PlanFacts } from "../../model/plan.js";
import type { Specimen } from "../../model/specimen.js";
import { createRandom } from "../../random.js";

/** Marks the stream of random numbers that this is drawn from. */
const STREAM = 0x7477_6963;

/**
 * The codes of the specimens that are graded a second time: drawn by lot from each lot of sheets and each block alike, by the
 * plan's seed, so that nobody picks them and they stay the same.
 */
export function gradedTwice(
  specimens: readonly Pick<Specimen, "code" | "block" | "place">[],
  { second_share, seed }: Pick<PlanFacts, "second_share" | "seed">,
): ReadonlySet<string> {
  const drawn = specimens.map(({ code, block, place }) => ({
    code,
    lot: createRandom(seed, STREAM, block, place)(),
  }));
  drawn.sort((a, b) => a.lot - b.lot);
  return new Set(drawn.slice(0, Math.ceil(second_share * specimens.length)).map(({ code }) => code));
}
