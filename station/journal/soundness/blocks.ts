import type { ChannelReadings } from "../block-codec.js";
import { minutesOf, resolutions } from "../block-making.js";
import type { Db } from "../database.js";
import { keptMinutes, unlessDamaged } from "../kept-minutes.js";
import { DAY_MS, MINUTE_MS, pageOf, type Rollup } from "../rollup.js";
import { encodeMinutes } from "../rollup-codec.js";
import { type BlockRecord, openBlock, spanWords } from "../sealed.js";
import { alikeRollups } from "./alike.js";
import type { Found, Part } from "./part.js";

/** A step's worth: some tens of milliseconds on a Pi. */
const BLOCKS_A_STEP = 16;

export interface StoredBlock extends BlockRecord {
  readonly id: number;
  readonly name: string;
  readonly readings: number;
  readonly minutes: Uint8Array | null;
  /** Readings that the owner's rule took away: of those the minutes are all there is. */
  readonly removed: number;
}

/** What a block is read with, from `block b` and `left` joined to it. */
export const BLOCK_COLUMNS =
  "b.id, b.channel, b.sealed, b.min_wall, b.max_wall, b.readings, m.data AS minutes, coalesce(t.removed, 0) AS removed";
export const BLOCK_JOINS =
  "LEFT JOIN block_minutes m ON m.block = b.id LEFT JOIN thinned t ON t.block = b.id";

/** What is known of a page of days. */
export interface Touched {
  /** The blocks whose readings fall into it, as the blocks themselves say: an index may be wrong, and the times in a row. */
  readonly blocks: number[];
  /** Whether the minutes of one of them are not what its readings say, and were left so. */
  doubtful: boolean;
}

/** What the look at groups and blocks leaves for that at the pages. */
export interface Seen {
  /** By the channel's number, then the page's. */
  readonly pages: Map<number, Map<number, Touched>>;
  /** Where blocks are lost with their minutes: what the pages hold there is all there is of them. */
  readonly lost: Pick<StoredBlock, "min_wall" | "max_wall">[];
}

/**
 * Every sealed block, in the order they were made: can it be read, and are its minutes what its readings say?
 * @param since those with a greater id only
 */
export function createBlockCheck(db: Db, seen: Seen, mend: boolean, since = 0): Part {
  // A block whose channel nobody knows is looked at too.
  const some = db.prepare<[number, number], StoredBlock & GroupSpan>(
    `SELECT ${BLOCK_COLUMNS}, b.data, coalesce(c.name, 'an unknown channel') AS name,
       s.min_wall AS group_min, s.max_wall AS group_max
     FROM block b LEFT JOIN channel c ON c.id = b.channel LEFT JOIN sealed s ON s.first_id = b.sealed ${BLOCK_JOINS}
     WHERE b.id > ? ORDER BY b.id LIMIT ?`,
  );
  const save = db.prepare(
    "INSERT INTO block_minutes (block, data) VALUES (?, ?) ON CONFLICT (block) DO UPDATE SET data = excluded.data",
  );
  const resolutionOf = resolutions(db);
  const of = db
    .prepare<[number], number>("SELECT count(*) FROM block WHERE id > ?")
    .pluck()
    .get(since) as number;
  let after = since;
  let done = 0;

  function touch({ id, channel }: StoredBlock, minutes: readonly Rollup[], doubtful: boolean): void {
    let pages = seen.pages.get(channel);
    if (pages === undefined) {
      pages = new Map();
      seen.pages.set(channel, pages);
    }
    for (const page of new Set(
      minutes.map(({ place }) => pageOf(Math.floor((place * MINUTE_MS) / DAY_MS))),
    )) {
      const known = pages.get(page);
      if (known === undefined) pages.set(page, { blocks: [id], doubtful });
      else {
        known.blocks.push(id);
        known.doubtful ||= doubtful;
      }
    }
  }

  function look(block: StoredBlock & GroupSpan): Found[] {
    const kept = keptMinutes(block);
    const readings = readable(block);
    const found = lossesOf(block, readings, kept);
    const minutes = dueMinutes(block, readings, kept);
    if (minutes === null) {
      const { min_wall, max_wall, group_min, group_max } = block;
      seen.lost.push({ min_wall, max_wall });
      // Of the two one may be damaged.
      if (group_min !== null && group_max !== null)
        seen.lost.push({ min_wall: group_min, max_wall: group_max });
      return found;
    }
    const wrong = kept === null || !alikeRollups(kept, minutes);
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

interface GroupSpan {
  readonly group_min: number | null;
  readonly group_max: number | null;
}

/** What only a backup has. */
function lossesOf(block: StoredBlock, readings: ChannelReadings | null, kept: Rollup[] | null): Found[] {
  const span = spanWords(block.name, block);
  const lost = (words: string): Found => ({ what: "readings", words, mended: false });
  if (readings === null) {
    const left =
      kept === null
        ? "its minutes cannot be read either"
        : "charts of days and longer still show its minutes";
    return [lost(`The readings of ${span}: ${left}`)];
  }
  if (block.removed === 0) return [];
  if (kept === null)
    return [lost(`The minutes of ${span}, which are all that the rule of keeping left of it`)];
  if (hold(kept, minutesOf(readings))) return [];
  return [lost(`The minutes of ${span}: they do not hold the readings that the rule of keeping left`)];
}

/**
 * What the minutes of a block should be: what its readings give, where all of them are there and can be read, else what is
 * kept. Null where neither can be read.
 */
export function dueMinutes(
  { removed }: Pick<StoredBlock, "removed">,
  readings: ChannelReadings | null,
  kept: Rollup[] | null,
): Rollup[] | null {
  return readings === null || removed > 0 ? kept : minutesOf(readings);
}

/** Whether these minutes may be of more readings than those are, and of those as well. */
function hold(minutes: readonly Rollup[], those: readonly Rollup[]): boolean {
  const whole = new Map(minutes.map((rollup) => [rollup.place, rollup]));
  return those.every(({ place, min, max, count, bad }) => {
    const of = whole.get(place);
    return of !== undefined && of.min <= min && of.max >= max && of.count >= count && of.bad >= bad;
  });
}

/** Null where the block cannot be read, or is not the one its row describes. */
export function readable(block: StoredBlock): ChannelReadings | null {
  const readings = unlessDamaged(() => openBlock(block, block.name));
  if (readings === null || readings.wall.length !== block.readings) return null;
  return readings.wall.some((w) => w < block.min_wall || w > block.max_wall) ? null : readings;
}
