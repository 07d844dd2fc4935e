import type { Reading } from "../../model/reading.js";
import { readingsOf } from "../columns.js";
import { openForReading } from "../database.js";
import type { ReplayBlock } from "../reader-calls.js";
import { createReads } from "../reads.js";

/** Which readings of one start of the station the journal held before the import began. */
export interface Doubles {
  /**
   * Those of `readings` that it did not hold, in their order.
   * @returns also how many of the others it does not hold any more, because the owner's rule took them away
   */
  without(readings: readonly Reading[]): { readonly fresh: readonly Reading[]; readonly thinned: number };
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
  const thinnedIn = db.prepare<[number, number, number], ThinnedBlock>(
    `SELECT c.name AS channel, s.min_mono, s.max_mono FROM sealed s
       CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
       JOIN thinned t ON t.block = b.id AND t.removed > 0 JOIN channel c ON c.id = b.channel
     WHERE s.session = ? AND s.max_mono >= ? AND s.min_mono <= ?`,
  );

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
      if (session === undefined) return { fresh: readings, thinned: 0 };
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
      const others = readings.filter((each) => !found.has(keyOf(each)));
      const gone = thinnedIn.all(session, from, to);
      const fresh = others.filter(({ channel, at }) => !gone.some((block) => isIn(block, channel, at.mono)));
      return { fresh, thinned: others.length - fresh.length };
    },
    close: () => db.close(),
  };
}

/** A block of the session that readings were taken out of. */
interface ThinnedBlock {
  readonly channel: string;
  readonly min_mono: number;
  readonly max_mono: number;
}

function isIn({ channel, min_mono, max_mono }: ThinnedBlock, id: string, mono: number): boolean {
  return channel === id && mono >= min_mono && mono <= max_mono;
}

/** Without its wall time, which is another one once the clock has been set and the reading placed. */
function keyOf({ channel, at, value, quality, reason }: Reading): string {
  return `${channel} ${at.mono} ${value} ${quality} ${reason}`;
}
