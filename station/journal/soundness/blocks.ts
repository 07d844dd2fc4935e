import { AppError } from "../../errors.js";
import type { ChannelReadings } from "../block-codec.js";
import { DamagedBytes } from "../byte-stream.js";
import type { Db } from "../database.js";
import { FOUR_HOURS_MS, MINUTE_MS, pageOf, type Rollup, rollupsOf } from "../rollup.js";
import { decodeMinutes, encodeMinutes } from "../rollup-codec.js";
import { type BlockRecord, openBlock, spanWords } from "../sealed.js";
import { minutesOf, resolutions } from "../sealing.js";
import { alikeRollups } from "./alike.js";
import type { Found, Part } from "./part.js";

/** A step's worth: some tens of milliseconds on a Pi. */
const BLOCKS_A_STEP = 16;

export interface StoredBlock extends BlockRecord {
  readonly id: number;
  readonly name: string;
  readonly readings: number;
  readonly minutes: Uint8Array | null;
}

/** What the look at the blocks leaves for that at the pages, by the channel's number. */
export interface Touched {
  /** Pages of four hours that the readings of some block fall into. */
  readonly pages: Set<number>;
  /** Those among them where the minutes of a block are not what its readings say, and were left so. */
  readonly doubtful: Set<number>;
}
export type TouchedPages = Map<number, Touched>;

/** Every sealed block, in the order they were made: can it be read, and are its minutes what its readings say? */
export function createBlockCheck(db: Db, touched: TouchedPages, mend: boolean): Part {
  const some = db.prepare<[number, number], StoredBlock>(
    `SELECT b.id, b.channel, b.sealed, b.min_wall, b.max_wall, b.readings, b.data, c.name, m.data AS minutes
     FROM block b JOIN channel c ON c.id = b.channel LEFT JOIN block_minutes m ON m.block = b.id
     WHERE b.id > ? ORDER BY b.id LIMIT ?`,
  );
  const save = db.prepare(
    "INSERT INTO block_minutes (block, data) VALUES (?, ?) ON CONFLICT (block) DO UPDATE SET data = excluded.data",
  );
  const resolutionOf = resolutions(db);
  const of = db.prepare<[], number>("SELECT count(*) FROM block").pluck().get() as number;
  let after = 0;
  let done = 0;

  function touch({ channel }: StoredBlock, minutes: readonly Rollup[], doubtful: boolean): void {
    let known = touched.get(channel);
    if (known === undefined) {
      known = { pages: new Set(), doubtful: new Set() };
      touched.set(channel, known);
    }
    for (const { place } of minutes) {
      const page = pageOf(Math.floor((place * MINUTE_MS) / FOUR_HOURS_MS));
      known.pages.add(page);
      if (doubtful) known.doubtful.add(page);
    }
  }

  function look(block: StoredBlock): Found[] {
    const kept = keptMinutes(block);
    const readings = readable(block);
    const found: Found[] = readings === null ? [damaged(block, kept !== null)] : [];
    const minutes = readings === null ? kept : minutesOf(readings);
    if (minutes === null) return found;
    const wrong = readings !== null && (kept === null || !alikeRollups(kept, minutes));
    if (wrong && mend) {
      const name = { channel: block.channel, first: block.sealed };
      save.run(block.id, encodeMinutes(name, minutes, resolutionOf(block.channel)));
    }
    if (wrong)
      found.push({ what: "rollups", words: `The minutes of ${spanWords(block.name, block)}`, mended: mend });
    touch(block, minutes, wrong && !mend);
    return found;
  }

  return {
    step() {
      const blocks = some.all(after, BLOCKS_A_STEP);
      const last = blocks.at(-1);
      if (last === undefined) return null;
      after = last.id;
      done += blocks.length;
      return { done, of, found: blocks.flatMap(look) };
    },
  };
}

function damaged(block: StoredBlock, drawn: boolean): Found {
  const left = drawn
    ? "charts of days and longer still show its minutes"
    : "its minutes cannot be read either";
  return {
    what: "readings",
    words: `The readings of ${spanWords(block.name, block)}: ${left}`,
    mended: false,
  };
}

/** Null where the block cannot be read, or is not the one its row describes. */
export function readable(block: StoredBlock): ChannelReadings | null {
  const readings = unlessDamaged(() => openBlock(block, block.name));
  if (readings === null || readings.wall.length !== block.readings) return null;
  return readings.wall.some((w) => w < block.min_wall || w > block.max_wall) ? null : readings;
}

/** The minutes kept with a block; null where they are not there or damaged. */
export function keptMinutes({ channel, sealed, minutes }: Omit<StoredBlock, "data">): Rollup[] | null {
  if (minutes === null) return null;
  return unlessDamaged(() => rollupsOf(decodeMinutes({ channel, first: sealed }, minutes)));
}

export function unlessDamaged<T>(read: () => T): T | null {
  try {
    return read();
  } catch (error) {
    if (error instanceof DamagedBytes) return null;
    if (error instanceof AppError && error.code === "readings-damaged") return null;
    throw error;
  }
}
