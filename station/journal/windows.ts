import type { Instant } from "../model/instant.js";
import { type Columns, type Gatherer, gatherColumns } from "./columns.js";
import type { Db } from "./database.js";
import type {
  LastMomentRequest,
  LastReadingsRequest,
  ReaderCalls,
  ReplayBlock,
  ReplayBlockRequest,
} from "./protocol.js";

/** Readings in a block of a replay at most: some milliseconds' work to turn into objects. */
export const BLOCK_READINGS = 4096;
/** Stretches walked for one block at most: other questions get their turn even where few of the rows are asked for. */
const BLOCK_STRETCHES = 16;

interface ReadingRecord {
  readonly id: number;
  readonly channel: string;
  readonly wall: number;
  readonly mono: number;
  readonly value: number | null;
  readonly quality: number;
  readonly reason: string | null;
}

/** Which stretches are walked at all. */
interface Filter {
  readonly session: number | null;
  readonly fromWall: number;
  readonly toWall: number;
}
const ANYWHERE: Filter = {
  session: null,
  fromWall: Number.NEGATIVE_INFINITY,
  toWall: Number.POSITIVE_INFINITY,
};

type Windows = {
  readonly [K in "replayBlock" | "lastReadingsBefore" | "lastReadingAt"]: (
    params: ReaderCalls[K]["params"],
  ) => ReaderCalls[K]["result"];
};

/**
 * Questions about readings in a window of monotonic time. Each finds the stretches that overlap the window, then walks
 * their rows.
 */
export function createWindows(db: Db): Windows {
  // Stretches neither overlap nor change their order, so a place in a replay is the id of the last row that was given.
  const stretchesAfter = db.prepare<
    Filter & { bootId: string; from: number; to: number; after: number; most: number },
    { first: number; last: number }
  >(
    `SELECT first_id AS first, last_id AS last FROM stretch
     WHERE session IN (SELECT id FROM session WHERE boot_id = @bootId) AND max_mono >= @from AND min_mono <= @to
       AND last_id > @after AND (@session IS NULL OR session = @session)
       AND max_wall >= @fromWall AND min_wall <= @toWall
     ORDER BY first_id LIMIT @most`,
  );
  const replayRows = db.prepare<
    { first: number; last: number; from: number; to: number; channels: string | null; most: number },
    ReadingRecord
  >(
    `SELECT r.id, c.name AS channel, r.wall, r.mono, r.value, r.quality, r.reason
     FROM reading r CROSS JOIN channel c ON c.id = r.channel
     WHERE r.id BETWEEN @first AND @last AND r.mono >= @from AND r.mono <= @to
       AND (@channels IS NULL OR c.name IN (SELECT value FROM json_each(@channels)))
     ORDER BY r.id LIMIT @most`,
  );
  // CROSS JOIN holds SQLite to that order. The columns beside max() are those of the row that has it (SQLite, "Bare
  // columns in an aggregate query").
  const lastRows = db.prepare<{ bootId: string; from: number; to: number }, ReadingRecord>(
    `SELECT l.id, c.name AS channel, l.wall, l.mono, l.value, l.quality, l.reason FROM (
       SELECT max(r.id) AS id, r.channel, r.wall, r.mono, r.value, r.quality, r.reason
       FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id
       WHERE s.session IN (SELECT id FROM session WHERE boot_id = @bootId) AND s.max_mono >= @from AND s.min_mono < @to
         AND r.mono >= @from AND r.mono < @to
       GROUP BY r.channel) l
     JOIN channel c ON c.id = l.channel ORDER BY l.id`,
  );
  const sessionsOfBoot = db.prepare<[string], number>("SELECT id FROM session WHERE boot_id = ?").pluck();
  const lastMoment = db.prepare<[string], Instant>(
    `SELECT r.wall, r.mono FROM (
       SELECT first_id, last_id FROM stretch WHERE session IN (SELECT value FROM json_each(?))
       ORDER BY max_mono DESC, first_id DESC LIMIT 1) s
     CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id ORDER BY r.mono DESC, r.id DESC LIMIT 1`,
  );

  function gather(into: Gatherer, { channel, wall, mono, value, quality, reason }: ReadingRecord): void {
    into.add(channel, wall, mono, value, quality, reason);
  }

  function replayBlock({
    bootId,
    fromMono,
    toMono,
    channels,
    after,
    ...only
  }: ReplayBlockRequest): ReplayBlock {
    const window = { from: fromMono, to: toMono };
    const named = channels === undefined ? null : JSON.stringify(channels);
    const gatherer = gatherColumns(BLOCK_READINGS);
    const stretches = stretchesAfter.all({
      ...ANYWHERE,
      ...only,
      bootId,
      ...window,
      after,
      most: BLOCK_STRETCHES,
    });
    let place = after;
    for (const { first, last } of stretches) {
      const rows = { first: Math.max(first, place + 1), last, ...window, channels: named };
      for (const row of replayRows.iterate({ ...rows, most: BLOCK_READINGS - gatherer.count })) {
        gather(gatherer, row);
        place = row.id;
      }
      if (gatherer.count === BLOCK_READINGS) return { readings: gatherer.take(), next: place };
      place = last;
    }
    return { readings: gatherer.take(), next: stretches.length < BLOCK_STRETCHES ? null : place };
  }

  function lastReadingsBefore({ bootId, mono, withinMs }: LastReadingsRequest): Columns {
    const rows = lastRows.all({ bootId, from: mono - withinMs, to: mono });
    const gatherer = gatherColumns(rows.length);
    for (const row of rows) gather(gatherer, row);
    return gatherer.take();
  }

  function lastReadingAt(request: LastMomentRequest): Instant | null {
    const sessions = "session" in request ? [request.session] : sessionsOfBoot.all(request.bootId);
    return lastMoment.get(JSON.stringify(sessions)) ?? null;
  }

  return { replayBlock, lastReadingsBefore, lastReadingAt };
}
