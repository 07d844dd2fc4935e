/**
 * The journal's tables; `migrations.ts` makes them.
 *
 * Times: `wall` is UTC milliseconds, `mono` milliseconds since the machine booted (comparable within one boot id only).
 *
 * Why `reading` has no index. Rows arrive in the order of time, so a stretch of neighbouring rows is also a stretch of
 * time, and `stretch` keeps the least and greatest times of each (some 4000 rows): a question about a window finds the
 * few stretches that overlap it and walks their rows in order. An index on (channel, wall) would double the file and,
 * with ten channels, would have every two-second commit rewrite some ten 4096-byte pages where two do: on an SD card
 * that is wear. A jump of the wall clock only makes one stretch wide, which costs its walk and nothing else.
 *
 * Sealed blocks. The oldest stretches of a session, some hour of them, become a group: a block for each channel, whose
 * rows and stretches then go, in one transaction. Groups are made in the order of their ids, so every sealed reading has a
 * lesser id than every row. The newest stretch is never sealed, because SQLite hands out ids as the greatest one in the
 * table plus one; and a block keeps the ids of its rows, because replaying a window depends on the order across channels
 * in which readings were written. Blocks are in a table with rowids: without, it takes 2.2 times the file.
 *
 * Rollups, by the wall clock: minutes, quarters of an hour, two hours and days of UTC. A commit keeps those of the newest
 * minutes only, for each stretch by itself, so that it rewrites one page more; sealing a group writes its minutes beside
 * its blocks and adds to the wider ones. So each reading is counted once at every width: in `live_minute` while it is a
 * row, and in `block_minutes` and `rollup_page` once it is in a block.
 */

/** From this version on rows carry checksums. */
export const ROW_CHECKS_SINCE = 3;

/** "LWSJ": tells a journal from any other SQLite file (`PRAGMA application_id`). */
export const APPLICATION_ID = 0x4c57534a;

/** Readings in a stretch before a new one is begun. */
export const STRETCH_ROWS = 4096;
/** Monotonic milliseconds that a stretch spans before a new one is begun at the next commit. */
export const STRETCH_MS = 3_600_000;

/** A block whose readings lie further apart than this, by the wall clock, is a wide one, as is a longer run; milliseconds. */
export const WIDE_MS = 86_400_000;

/** When a run began and ended, as well as is known; as the indexes of runs have it. */
export const RUN_START = "coalesce(placed_start, start_wall)";
/** Never before the beginning, whatever became of the clock meanwhile; null while it is open. */
export const RUN_END = `max(coalesce(placed_end, end_wall), ${RUN_START})`;

export const LIVE_COLUMNS = "stretch, minute, channel, min, max, sum, count, bad";

/**
 * The rollups of the rows of some stretches (`s`), worked out from them. The remainder takes times before 1970 downwards
 * too.
 */
export function liveMinutesQuery(where: string): string {
  return `SELECT s.first_id AS stretch,
    CAST((r.wall - ((r.wall % 60000) + 60000) % 60000) / 60000 AS INTEGER) AS minute, r.channel,
    min(r.value) AS min, max(r.value) AS max, coalesce(total(r.value), 0) AS sum, count(r.value) AS count, sum(r.quality = 2) AS bad
  FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id ${where}
  GROUP BY s.first_id, minute, r.channel`;
}
