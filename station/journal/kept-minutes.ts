import { AppError } from "../errors.js";
import { DamagedBytes } from "./byte-stream.js";
import type { Db } from "./database.js";
import { at, MINUTE_MS, PAGE_ROLLUPS, type Rollup, rollupsOf, takeRollup, widened } from "./rollup.js";
import { decodeMinutes } from "./rollup-codec.js";
import { overlappingBlocks } from "./sealed.js";

/** What the minutes of a block are found and named by. */
export interface MinutesRecord {
  readonly channel: number;
  /** The first id of its group. */
  readonly sealed: number;
  readonly minutes: Uint8Array | null;
}

/** The minutes kept with a block; null where they are not there or damaged. */
export function keptMinutes({ channel, sealed, minutes }: MinutesRecord): Rollup[] | null {
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

/** What the minutes of all blocks of a channel add up to. */
export interface CountedMinutes {
  /** By the wall clock, `from` included, `to` not; `lost` where those of some block are not in it. */
  between(channel: number, from: number, to: number): { readonly minutes: Rollup[]; readonly lost: boolean };
  /** Those of one page of a wider width, for one that cannot be read any more. */
  ofPage(channel: number, width: number, page: number): Rollup[];
}

export function createCountedMinutes(db: Db): CountedMinutes {
  const blocks = db.prepare<{ channel: number; from: number; to: number }, MinutesRecord>(
    overlappingBlocks(
      "b.channel, b.sealed, m.data AS minutes",
      "LEFT JOIN block_minutes m ON m.block = b.id",
    ),
  );

  function between(channel: number, from: number, to: number) {
    const counted = new Map<number, Rollup>();
    let lost = false;
    for (const block of blocks.iterate({ channel, from, to })) {
      const minutes = keptMinutes(block);
      lost ||= minutes === null;
      for (const minute of minutes ?? []) {
        const wall = minute.place * MINUTE_MS;
        if (wall >= from && wall < to) takeRollup(at(counted, minute.place), minute);
      }
    }
    return { minutes: [...counted.values()], lost };
  }

  return {
    between,
    ofPage(channel, width, page) {
      const from = page * PAGE_ROLLUPS * width;
      return widened(between(channel, from, from + PAGE_ROLLUPS * width).minutes, MINUTE_MS, width);
    },
  };
}
