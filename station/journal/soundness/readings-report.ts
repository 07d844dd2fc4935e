import type { Db } from "../database.js";
import { type CheckStep, checkReadings } from "./check.js";
import type { Found } from "./part.js";

/** Sentences that are kept; the rest are counted, so that a journal that is wrong all over does not fill the memory. */
const MOST_NAMED = 20;

export interface Noted {
  readonly count: number;
  /** The first of them. */
  readonly named: readonly string[];
}

/** What looking at every sealed block and every rollup has found. */
export interface ReadingsReport {
  readonly blocks: number;
  /** Blocks that cannot be read. */
  readonly damaged: Noted;
  /** Rollups that are not what the readings say. */
  readonly wrong: Noted;
  /** Those that were, and have been made anew. */
  readonly mended: Noted;
}

/** @param told after every step */
export async function reportReadings(
  db: Db,
  { mend }: { readonly mend: boolean },
  told: (step: CheckStep) => void | Promise<void>,
): Promise<ReadingsReport> {
  const damaged = note();
  const wrong = note();
  const mended = note();
  let blocks = 0;
  for (const step of checkReadings(db, mend)) {
    if (step.part === "blocks") blocks = step.done;
    for (const found of step.found) listOf(found).add(found.words);
    await told(step);
  }
  return { blocks, damaged: damaged.noted, wrong: wrong.noted, mended: mended.noted };

  function listOf(found: Found) {
    if (found.what === "readings") return damaged;
    return found.mended ? mended : wrong;
  }
}

function note() {
  const noted = { count: 0, named: [] as string[] };
  return {
    noted,
    add(words: string) {
      noted.count++;
      if (noted.named.length < MOST_NAMED) noted.named.push(words);
    },
  };
}
