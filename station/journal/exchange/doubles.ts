import type { Reading } from "../../model/reading.js";
import { readingsOf } from "../columns.js";
import { openForReading } from "../database.js";
import type { ReplayBlock } from "../protocol.js";
import { createReads } from "../reads.js";

/** Which readings of one start of the station the journal held before the import began. */
export interface Doubles {
  /** Those of `readings` that it did not hold, in their order. */
  without(readings: readonly Reading[]): readonly Reading[];
  close(): void;
}

/**
 * By a connection of its own, which does not see what the import has written so far: a reading that occurs twice in the
 * file and not at all in the journal is kept twice, as it was.
 */
export function createDoubles(folder: string, start: string, bootId: string): Doubles {
  const db = openForReading(folder);
  const reads = createReads(db);
  const session = db.prepare<[string], number>("SELECT id FROM session WHERE start = ?").pluck().get(start);

  function* held(from: number, to: number): Generator<Reading> {
    const window = { bootId, fromMono: from, toMono: to, ...(session === undefined ? {} : { session }) };
    for (let after: number | null = 0; after !== null; ) {
      const block = reads.replayBlock({ ...window, after }) as ReplayBlock;
      yield* readingsOf(block.readings);
      after = block.next;
    }
  }

  return {
    without(readings) {
      if (session === undefined) return readings;
      let from = Number.POSITIVE_INFINITY;
      let to = Number.NEGATIVE_INFINITY;
      for (const { at } of readings) {
        from = Math.min(from, at.mono);
        to = Math.max(to, at.mono);
      }
      const asked = new Set(readings.map(keyOf));
      const found = new Set<string>();
      for (const each of held(from, to)) {
        const key = keyOf(each);
        if (asked.has(key)) found.add(key);
      }
      return found.size === 0 ? readings : readings.filter((each) => !found.has(keyOf(each)));
    },
    close: () => db.close(),
  };
}

function keyOf({ channel, at, value, quality, reason }: Reading): string {
  return `${channel} ${at.wall} ${at.mono} ${value} ${quality} ${reason}`;
}
