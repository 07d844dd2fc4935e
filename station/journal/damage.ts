import { AppError } from "../errors.js";
import type { Db } from "./database.js";
import { type BlockRecord, openBlock } from "./sealed.js";

/**
 * Reads every block there is and says, a sentence each, which cannot be read or do not hold what their row says. A year
 * of three channels at 1 s takes some seconds.
 */
export function damagedBlocks(db: Db): string[] {
  const blocks = db.prepare<[], BlockRecord & { readonly name: string; readonly readings: number }>(
    `SELECT b.channel, b.sealed, b.min_wall, b.max_wall, b.readings, b.data, c.name
     FROM block b JOIN channel c ON c.id = b.channel ORDER BY b.id`,
  );
  const found: string[] = [];
  for (const block of blocks.iterate()) {
    try {
      const { wall } = openBlock(block, block.name);
      if (wall.length !== block.readings || wall.some((w) => w < block.min_wall || w > block.max_wall)) {
        found.push(`The block of ${block.name} under ${block.sealed} is not the one its row describes.`);
      }
    } catch (error) {
      if (!(error instanceof AppError)) throw error;
      found.push(error.message);
    }
  }
  return found;
}
