import { AppError } from "../errors.js";
import type { Instant } from "../model/instant.js";
import type { ChannelReadings } from "./block-codec.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";
import { type BlockRecord, openBlock } from "./sealed.js";

/** A reading as the table of readings holds it, with its channel's id. */
export interface ReadingRecord {
  readonly id: number;
  readonly channel: string;
  readonly wall: number;
  readonly mono: number;
  readonly value: number | null;
  readonly quality: number;
  readonly reason: string | null;
}

interface MonoWindow {
  readonly from: number;
  readonly to: number;
}

/**
 * The readings of a sealed group, of all its channels, as they were written. A group is called by the first of its ids.
 * All throw AppError "readings-damaged".
 */
export interface SealedGroups {
  /**
   * In the order they were written, those after the id `after` and in the window, both ends included.
   * @param channels null: all
   */
  replay(
    group: number,
    channels: readonly string[] | null,
    after: number,
    window: MonoWindow,
    most: number,
  ): Iterable<ReadingRecord>;
  /** Of each channel that is not among the known ones the last written in the window, its end not included. */
  lastBefore(group: number, window: MonoWindow, known: ReadonlyMap<string, unknown>): ReadingRecord[];
  /** The latest moment by monotonic time. */
  lastMoment(group: number): Instant | null;
}

interface ChannelBlock {
  readonly name: string;
  readonly readings: ChannelReadings;
}

/** A whole group, its readings in the order of their ids. */
interface Merged {
  readonly key: string;
  readonly blocks: readonly ChannelBlock[];
  /** Which block, and which place in it, by the order. */
  readonly block: Uint16Array;
  readonly place: Uint32Array;
}

export function createSealedGroups(db: Db): SealedGroups {
  const blocksOf = db.prepare<[number], BlockRecord & { readonly name: string }>(
    `SELECT b.channel, b.sealed, b.min_wall, b.max_wall, b.data, c.name
     FROM sealed s CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
     JOIN channel c ON c.id = b.channel
     WHERE s.first_id = ? AND ${sound("sealed", "s")} AND ${sound("channel", "c")} ORDER BY b.id`,
  );
  const blocksIn = db.prepare<[number], number>("SELECT blocks FROM sealed WHERE first_id = ?").pluck();
  const readingsIn = db
    .prepare<[number], number>(
      `SELECT sum(b.readings) FROM sealed s CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
       WHERE s.first_id = ?`,
    )
    .pluck();
  const revisionOf = db.prepare<[number], number>("SELECT revision FROM sealed WHERE first_id = ?").pluck();
  /** A long replay asks for the same group several times over; a group only changes by losing readings, or by being placed anew. */
  let latest: Merged | null = null;

  function open(group: number, wanted: (name: string) => boolean): ChannelBlock[] {
    const blocks = blocksOf.all(group);
    if (blocks.length !== blocksIn.get(group)) {
      throw new AppError(
        "readings-damaged",
        "Blocks of readings are missing in the journal: put back a backup that has them.",
      );
    }
    return blocks
      .filter(({ name }) => wanted(name))
      .map((block) => ({ name: block.name, readings: openBlock(block, block.name) }));
  }

  function merged(group: number, channels: readonly string[] | null): Merged {
    const key = JSON.stringify([group, readingsIn.get(group), revisionOf.get(group), channels]);
    if (latest?.key !== key)
      latest = merge(
        key,
        open(group, (name) => channels?.includes(name) ?? true),
      );
    return latest;
  }

  return {
    *replay(group, channels, after, { from, to }, most) {
      const { blocks, block, place } = merged(group, channels);
      let given = 0;
      for (let i = 0; i < block.length && given < most; i++) {
        const { name, readings } = blocks[block[i] as number] as ChannelBlock;
        const at = place[i] as number;
        const mono = readings.mono[at] as number;
        if (mono < from || mono > to || (readings.id[at] as number) <= after) continue;
        given++;
        yield recordOf(name, readings, at);
      }
    },
    lastBefore(group, { from, to }, known) {
      const last: ReadingRecord[] = [];
      for (const { name, readings } of open(group, (channel) => !known.has(channel))) {
        const at = readings.mono.findLastIndex((mono) => mono >= from && mono < to);
        if (at !== -1) last.push(recordOf(name, readings, at));
      }
      return last;
    },
    lastMoment(group) {
      let latestId = -1;
      let moment: Instant | null = null;
      for (const { readings } of open(group, () => true)) {
        for (const [i, mono] of readings.mono.entries()) {
          const id = readings.id[i] as number;
          if (moment !== null && (mono < moment.mono || (mono === moment.mono && id < latestId))) continue;
          moment = { wall: readings.wall[i] as number, mono };
          latestId = id;
        }
      }
      return moment;
    },
  };
}

function recordOf(channel: string, readings: ChannelReadings, at: number): ReadingRecord {
  const { id, wall, mono, value, status, statuses } = readings;
  const { quality, reason } = statuses[status[at] as number] ?? { quality: 2, reason: null };
  const number = value[at] as number;
  return {
    id: id[at] as number,
    channel,
    wall: wall[at] as number,
    mono: mono[at] as number,
    value: Number.isNaN(number) ? null : number,
    quality,
    reason,
  };
}

/** Ids are rising within each block. */
function merge(key: string, blocks: readonly ChannelBlock[]): Merged {
  const count = blocks.reduce((sum, { readings }) => sum + readings.id.length, 0);
  const block = new Uint16Array(count);
  const place = new Uint32Array(count);
  const next = blocks.map(() => 0);
  for (let i = 0; i < count; i++) {
    let least = Number.POSITIVE_INFINITY;
    let from = 0;
    for (let b = 0; b < blocks.length; b++) {
      const id = blocks[b]?.readings.id[next[b] as number];
      if (id !== undefined && id < least) {
        least = id;
        from = b;
      }
    }
    block[i] = from;
    place[i] = next[from] as number;
    next[from] = (next[from] as number) + 1;
  }
  return { key, blocks, block, place };
}
