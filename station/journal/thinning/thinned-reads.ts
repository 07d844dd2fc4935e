import { minutesOf } from "../block-making.js";
import type { Db } from "../database.js";
import { keptMinutes } from "../kept-minutes.js";
import { MINUTE_MS, type Rollup } from "../rollup.js";
import { overlappingBlocks } from "../sealed.js";
import { BLOCK_COLUMNS, readable, type StoredBlock } from "../soundness/blocks.js";

/** A window of wall time; milliseconds, `to` not included. */
interface Window {
  readonly channel: number;
  readonly from: number;
  readonly to: number;
}

export interface ThinnedMinutes {
  /** The minutes of one channel in a window of which readings were taken away by the owner's rule. */
  within(channel: number, name: string, from: number, to: number): Rollup[];
}

export function createThinnedMinutes(db: Db): ThinnedMinutes {
  const blocks = db.prepare<Window, Omit<StoredBlock, "name">>(
    overlappingBlocks(
      `${BLOCK_COLUMNS}, b.data`,
      "JOIN thinned t ON t.block = b.id AND t.removed > 0 LEFT JOIN block_minutes m ON m.block = b.id",
    ),
  );

  return {
    within(channel, name, from, to) {
      return blocks.all({ channel, from, to }).flatMap((block) => {
        const left = readable({ ...block, name });
        const counts = new Map(
          (left === null ? [] : minutesOf(left)).map(({ place, count }) => [place, count]),
        );
        return (keptMinutes(block) ?? []).filter(({ place, count }) => {
          const begins = place * MINUTE_MS;
          return begins < to && begins + MINUTE_MS > from && count > (counts.get(place) ?? 0);
        });
      });
    },
  };
}
