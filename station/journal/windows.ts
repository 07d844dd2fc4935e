import { AppError } from "../errors.js";
import type { Instant } from "../model/instant.js";
import type { Bucket, Series } from "../model/now.js";
import type { Unit } from "../model/quantity.js";
import { type Columns, gatherColumns } from "./columns.js";
import type { Db } from "./database.js";
import type {
  LastMomentRequest,
  LastReadingsRequest,
  ReaderCalls,
  ReplayRequest,
  SeriesRequest,
} from "./protocol.js";

export const MOST_BUCKETS = 2000;
/** Readings in one of the columns that a replay is answered in: some milliseconds' work to turn into objects. */
const REPLAY_COLUMNS = 4096;

interface ReadingRecord {
  readonly channel: string;
  readonly wall: number;
  readonly mono: number;
  readonly value: number | null;
  readonly quality: number;
  readonly reason: string | null;
}

type Windows = {
  readonly [K in "series" | "readingsForReplay" | "lastReadingsBefore" | "lastReadingAt"]: (
    params: ReaderCalls[K]["params"],
  ) => ReaderCalls[K]["result"];
};

/**
 * Questions about readings in a window of time. Each finds the stretches that overlap the window, then walks their rows;
 * CROSS JOIN holds SQLite to that order. The plus before `r.channel` keeps it from building an index of all readings for
 * the one question, which made a chart of a day of ten channels some twenty-five times slower. Every number is bound as
 * REAL, hence the CASTs: `7 / 2.0` is 3.5, not a bucket.
 */
export function createWindows(db: Db): Windows {
  const channelByName = db.prepare<[string], { id: number; unit: Unit | null }>(
    `SELECT id, (SELECT unit FROM channel_definition WHERE channel = c.id ORDER BY id DESC LIMIT 1) AS unit
     FROM channel c WHERE name = ?`,
  );
  const bucketRows = db.prepare<
    { channel: number; from: number; to: number; width: number },
    { bucket: number; min: number; mean: number; max: number }
  >(
    `SELECT CAST(r.wall - @from AS INTEGER) / CAST(@width AS INTEGER) AS bucket,
       min(r.value) AS min, avg(r.value) AS mean, max(r.value) AS max
     FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id
     WHERE s.max_wall >= @from AND s.min_wall < @to AND +r.channel = @channel
       AND r.wall >= @from AND r.wall < @to AND r.value IS NOT NULL
     GROUP BY bucket ORDER BY bucket`,
  );
  const replayRows = db.prepare<
    { bootId: string; from: number; to: number; channels: string | null },
    ReadingRecord
  >(
    `SELECT c.name AS channel, r.wall, r.mono, r.value, r.quality, r.reason
     FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id CROSS JOIN channel c ON c.id = r.channel
     WHERE s.session IN (SELECT id FROM session WHERE boot_id = @bootId) AND s.max_mono >= @from AND s.min_mono <= @to
       AND r.mono >= @from AND r.mono <= @to
       AND (@channels IS NULL OR c.name IN (SELECT value FROM json_each(@channels)))
     ORDER BY s.first_id, r.id`,
  );
  // The columns beside max() are those of the row that has it (SQLite, "Bare columns in an aggregate query").
  const lastRows = db.prepare<{ bootId: string; from: number; to: number }, ReadingRecord>(
    `SELECT c.name AS channel, l.wall, l.mono, l.value, l.quality, l.reason FROM (
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

  function series({ channel: name, from: begin, to: end, buckets: wanted }: SeriesRequest): Series {
    const from = Math.floor(begin);
    const to = Math.ceil(end);
    if (!(to > from) || !Number.isSafeInteger(to - from)) {
      throw new AppError("request-invalid", "A series ends after it begins.");
    }
    if (!(wanted >= 1 && wanted <= MOST_BUCKETS)) {
      throw new AppError("request-invalid", `A series has 1 to ${MOST_BUCKETS} buckets.`);
    }
    const channel = channelByName.get(name);
    if (channel === undefined || channel.unit === null) {
      throw new AppError("channel-unknown", `The journal has no channel with the id ${name}.`);
    }
    const width = Math.ceil((to - from) / Math.floor(wanted));
    const buckets: Bucket[] = [];
    for (let t = from; t < to; t += width) buckets.push({ t, min: null, mean: null, max: null });
    for (const { bucket, min, mean, max } of bucketRows.iterate({ channel: channel.id, from, to, width })) {
      buckets[bucket] = { t: from + bucket * width, min, mean, max };
    }
    return { channel: name, unit: channel.unit, from, to, buckets };
  }

  function columnsOf(rows: Iterable<ReadingRecord>): Columns[] {
    const all: Columns[] = [];
    const gatherer = gatherColumns(REPLAY_COLUMNS);
    for (const { channel, wall, mono, value, quality, reason } of rows) {
      gatherer.add(channel, wall, mono, value, quality, reason);
      if (gatherer.count === REPLAY_COLUMNS) all.push(gatherer.take());
    }
    if (gatherer.count > 0) all.push(gatherer.take());
    return all;
  }

  function readingsForReplay({ bootId, fromMono, toMono, channels }: ReplayRequest): Columns[] {
    const only = channels === undefined ? null : JSON.stringify(channels);
    return columnsOf(replayRows.iterate({ bootId, from: fromMono, to: toMono, channels: only }));
  }

  function lastReadingsBefore({ bootId, mono, withinMs }: LastReadingsRequest): Columns[] {
    return columnsOf(lastRows.iterate({ bootId, from: mono - withinMs, to: mono }));
  }

  function lastReadingAt(request: LastMomentRequest): Instant | null {
    const sessions = "session" in request ? [request.session] : sessionsOfBoot.all(request.bootId);
    return lastMoment.get(JSON.stringify(sessions)) ?? null;
  }

  return { series, readingsForReplay, lastReadingsBefore, lastReadingAt };
}
