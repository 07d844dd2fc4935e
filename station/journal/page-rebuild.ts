import type { Db } from "./database.js";
import { at, MINUTE_MS, PAGE_ROLLUPS, type Rollup, takeRollup, widened } from "./rollup.js";
import { overlappingBlocks } from "./sealed.js";
import { keptMinutes, type StoredBlock } from "./soundness/blocks.js";

/**
 * What the minutes of all blocks of a channel add up to in one page of a wider width: for a page that cannot be read any more.
 * Blocks whose minutes are lost are not in it.
 */
export function createPageRebuild(db: Db): (channel: number, width: number, page: number) => Rollup[] {
  const blocks = db.prepare<
    { channel: number; from: number; to: number },
    Pick<StoredBlock, "channel" | "sealed" | "minutes">
  >(
    overlappingBlocks(
      "b.channel, b.sealed, m.data AS minutes",
      "LEFT JOIN block_minutes m ON m.block = b.id",
    ),
  );
  return (channel, width, page) => {
    const from = page * PAGE_ROLLUPS * width;
    const to = from + PAGE_ROLLUPS * width;
    const minutes = new Map<number, Rollup>();
    for (const block of blocks.iterate({ channel, from, to })) {
      for (const minute of keptMinutes(block) ?? []) {
        const wall = minute.place * MINUTE_MS;
        if (wall >= from && wall < to) takeRollup(at(minutes, minute.place), minute);
      }
    }
    return widened([...minutes.values()], MINUTE_MS, width);
  };
}
