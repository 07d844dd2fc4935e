import { type BytesName, checkedBody, FORMATS } from "../checked-bytes.js";
import type { Db } from "../database.js";
import { unlessDamaged } from "../kept-minutes.js";
import { pageName } from "../rollup-codec.js";
import { type BlockRecord, spanWords } from "../sealed.js";
import { pageWords } from "../soundness/pages.js";
import type { Found } from "../soundness/part.js";

type Named<Row> = Row & { readonly name: string };

interface PageRecord {
  readonly channel: number;
  readonly width: number;
  readonly page: number;
  readonly data: Uint8Array;
}

const NAME = "coalesce(c.name, 'channel ' || x.channel) AS name";

/** What `damagedBytes` finds, in words. */
export function damagedSealed(db: Db): string[] {
  return damagedBytes(db).map(({ words }) => words);
}

/**
 * Blocks, their minutes and pages of rollups whose bytes are not what was written. Goes by the checksums alone, which takes
 * little more than reading the file; what the readings say is for `checkReadings`.
 */
export function damagedBytes(db: Db): Found[] {
  const found: Found[] = [];
  const note = (what: Found["what"], words: string) => found.push({ what, words, mended: false });
  const blocks = db.prepare<[], Named<BlockRecord>>(
    `SELECT x.channel, x.sealed, x.min_wall, x.max_wall, x.data, ${NAME}
     FROM block x LEFT JOIN channel c ON c.id = x.channel ORDER BY x.id`,
  );
  for (const block of blocks.iterate()) {
    if (isDamaged(nameOf(block), FORMATS.block, block.data)) {
      note("readings", `The readings of ${spanWords(block.name, block)}`);
    }
  }
  const minutes = db.prepare<[], Named<BlockRecord>>(
    `SELECT x.channel, x.sealed, x.min_wall, x.max_wall, m.data, ${NAME}
     FROM block_minutes m JOIN block x ON x.id = m.block LEFT JOIN channel c ON c.id = x.channel ORDER BY m.block`,
  );
  for (const block of minutes.iterate()) {
    if (isDamaged(nameOf(block), FORMATS.minutes, block.data)) {
      note("rollups", `The minutes of ${spanWords(block.name, block)}`);
    }
  }
  const pages = db.prepare<[], Named<PageRecord>>(
    `SELECT x.channel, x.width, x.page, x.data, ${NAME}
     FROM rollup_page x LEFT JOIN channel c ON c.id = x.channel ORDER BY x.id`,
  );
  for (const { channel, width, page, data, name } of pages.iterate()) {
    if (isDamaged(pageName(channel, width, page), FORMATS.page, data)) {
      note("rollups", pageWords(name, width, page));
    }
  }
  return found;
}

function nameOf({ channel, sealed }: BlockRecord): BytesName {
  return { channel, first: sealed };
}

function isDamaged(name: BytesName, format: number, data: Uint8Array): boolean {
  return unlessDamaged(() => checkedBody(name, format, data)) === null;
}
