import type { Columns } from "./columns.js";
import { STRETCH_MS, STRETCH_ROWS } from "./schema.js";

/** Neighbouring readings, by the ids of the first and the last, and the times they lie between. */
export interface Stretch {
  readonly first: number;
  readonly last: number;
  readonly minWall: number;
  readonly maxWall: number;
  readonly minMono: number;
  readonly maxMono: number;
}

/**
 * Lays readings that were written under ids from `firstId` onwards over stretches: the newest is carried on while it
 * has room, is not an hour long and no other rows lie between, then new ones are begun.
 * @returns the stretches that are new or longer now, in order
 */
export function layOut(newest: Stretch | null, firstId: number, readings: Columns): Stretch[] {
  const touched: Stretch[] = [];
  let carried = newest !== null && newest.last === firstId - 1 && !isLong(newest) ? newest : null;
  for (let from = 0; from < readings.count; ) {
    const room = STRETCH_ROWS - (carried === null ? 0 : carried.last - carried.first + 1);
    const to = Math.min(readings.count, from + room);
    if (to > from) touched.push(spanned(carried, firstId + from, readings, from, to));
    carried = null;
    from = to;
  }
  return touched;
}

/** A few slow channels would take days to fill a stretch, and what is in the newest cannot be sealed. */
function isLong({ minMono, maxMono }: Stretch): boolean {
  return maxMono - minMono >= STRETCH_MS;
}

function spanned(
  carried: Stretch | null,
  firstId: number,
  { wall, mono }: Columns,
  from: number,
  to: number,
): Stretch {
  let minWall = carried?.minWall ?? Number.POSITIVE_INFINITY;
  let maxWall = carried?.maxWall ?? Number.NEGATIVE_INFINITY;
  let minMono = carried?.minMono ?? Number.POSITIVE_INFINITY;
  let maxMono = carried?.maxMono ?? Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) {
    minWall = Math.min(minWall, wall[i] as number);
    maxWall = Math.max(maxWall, wall[i] as number);
    minMono = Math.min(minMono, mono[i] as number);
    maxMono = Math.max(maxMono, mono[i] as number);
  }
  return {
    first: carried?.first ?? firstId,
    last: firstId + to - from - 1,
    minWall,
    maxWall,
    minMono,
    maxMono,
  };
}
