import type { Instant } from "../model/instant.js";
import { createCheckedStretches } from "./checked-stretches.js";
import { type Columns, type Gatherer, gatherColumns } from "./columns.js";
import type { Db } from "./database.js";
import type {
  LastMomentRequest,
  LastReadingsRequest,
  ReaderCalls,
  ReplayBlock,
  ReplayBlockRequest,
} from "./reader-calls.js";
import { sound } from "./row-checks.js";
import { createSealedGroups, type ReadingRecord } from "./sealed-groups.js";
import { sessionsOf } from "./sessions.js";

/** Readings in a block of a replay at most: some milliseconds' work to turn into objects. */
export const BLOCK_READINGS = 4096;
/** Stretches walked for one block at most: other questions get their turn even where few of the rows are asked for. */
const BLOCK_STRETCHES = 16;

/** Which stretches and groups are walked at all. */
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

/** Neighbouring readings, as rows or sealed. */
interface Piece {
  readonly first: number;
  readonly last: number;
  readonly sealed: 0 | 1;
}

/** The stretches of rows and the groups of blocks of one boot that meet a condition. */
function piecesSql(where: string): string {
  const ofBoot = `session IN ${sessionsOf("@bootId")}`;
  return `SELECT first_id AS first, last_id AS last, 0 AS sealed FROM stretch WHERE ${ofBoot} AND ${where}
    UNION ALL SELECT first_id, last_id, 1 FROM sealed
      WHERE ${ofBoot} AND max_mono >= @from AND CASE WHEN ${sound("sealed")} THEN ${where} END`;
}

/**
 * Questions about readings in a window of monotonic time. Each finds the stretches and groups that overlap the window,
 * then walks their rows and blocks, all in one transaction: meanwhile rows may become blocks.
 */
export function createWindows(db: Db): Windows {
  // Neither stretches nor groups overlap or change their order, so a place in a replay is the id of the last row that was
  // given, whatever has been sealed since.
  const piecesAfter = db.prepare<
    Filter & { bootId: string; from: number; to: number; after: number; most: number },
    Piece
  >(
    `${piecesSql(`max_mono >= @from AND min_mono <= @to AND last_id > @after AND (@session IS NULL OR session = @session)
       AND max_wall >= @fromWall AND min_wall <= @toWall`)} ORDER BY first LIMIT @most`,
  );
  // LEFT JOIN: of a channel that is gone from its table the readings are refused and not left out.
  const replayRows = db.prepare<
    { first: number; last: number; from: number; to: number; channels: string | null; most: number },
    ReadingRecord
  >(
    `SELECT r.id, c.name AS channel, r.wall, r.mono, r.value, r.quality, r.reason
     FROM reading r LEFT JOIN channel c ON c.id = r.channel
     WHERE ${sound("channel", "c")} AND r.id BETWEEN @first AND @last AND r.mono >= @from AND r.mono <= @to
       AND (@channels IS NULL OR c.name IN (SELECT value FROM json_each(@channels)))
     ORDER BY r.id LIMIT @most`,
  );
  // CROSS JOIN holds SQLite to that order. The columns beside max() are those of the row that has it (SQLite, "Bare
  // columns in an aggregate query").
  const lastRows = db.prepare<{ bootId: string; from: number; to: number }, ReadingRecord>(
    `SELECT l.id, c.name AS channel, l.wall, l.mono, l.value, l.quality, l.reason FROM (
       SELECT max(r.id) AS id, r.channel, r.wall, r.mono, r.value, r.quality, r.reason
       FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id
       WHERE s.session IN ${sessionsOf("@bootId")} AND s.max_mono >= @from AND s.min_mono < @to
         AND r.mono >= @from AND r.mono < @to
       GROUP BY r.channel) l
     LEFT JOIN channel c ON c.id = l.channel WHERE ${sound("channel", "c")}`,
  );
  const groupsBefore = db
    .prepare<{ bootId: string; from: number; to: number }, number>(
      `SELECT first_id FROM sealed WHERE session IN ${sessionsOf("@bootId")}
         AND max_mono >= @from AND CASE WHEN ${sound("sealed")} THEN min_mono < @to END ORDER BY first_id DESC`,
    )
    .pluck();
  const sessionsOfBoot = db.prepare<[string], number>(sessionsOf("?").slice(1, -1)).pluck();
  const lastPiece = db.prepare<{ sessions: string }, Piece>(
    `SELECT first, last, sealed FROM (
       SELECT first_id AS first, last_id AS last, max_mono, 0 AS sealed FROM stretch
       WHERE session IN (SELECT value FROM json_each(@sessions))
       UNION ALL SELECT first_id, last_id, max_mono, 1 FROM sealed
       WHERE session IN (SELECT value FROM json_each(@sessions)))
     ORDER BY max_mono DESC, first DESC LIMIT 1`,
  );
  const lastMoment = db.prepare<[number, number], Instant>(
    "SELECT wall, mono FROM reading WHERE id BETWEEN ? AND ? ORDER BY mono DESC, id DESC LIMIT 1",
  );
  const groups = createSealedGroups(db);
  const stretches = createCheckedStretches(db);

  function gather(into: Gatherer, { channel, wall, mono, value, quality, reason }: ReadingRecord): void {
    into.add(channel, wall, mono, value, quality, reason);
  }

  const replayBlock = db.transaction(
    ({ bootId, fromMono, toMono, channels, after, ...only }: ReplayBlockRequest): ReplayBlock => {
      const window = { from: fromMono, to: toMono };
      const named = channels === undefined ? null : JSON.stringify(channels);
      const gatherer = gatherColumns(BLOCK_READINGS);
      const filter = { ...ANYWHERE, ...only };
      stretches.check("mono", fromMono, toMono);
      const pieces = piecesAfter.all({ ...filter, bootId, ...window, after, most: BLOCK_STRETCHES });
      let place = after;
      for (const { first, last, sealed } of pieces) {
        const most = BLOCK_READINGS - gatherer.count;
        const rows =
          sealed === 1
            ? groups.replay(first, channels ?? null, place, window, most)
            : replayRows.iterate({
                first: Math.max(first, place + 1),
                last,
                ...window,
                channels: named,
                most,
              });
        for (const row of rows) {
          gather(gatherer, row);
          place = row.id;
        }
        if (gatherer.count === BLOCK_READINGS) return { readings: gatherer.take(), next: place };
        place = last;
      }
      return { readings: gatherer.take(), next: pieces.length < BLOCK_STRETCHES ? null : place };
    },
  );

  const lastReadingsBefore = db.transaction(({ bootId, mono, withinMs }: LastReadingsRequest): Columns => {
    const window = { bootId, from: mono - withinMs, to: mono };
    stretches.check("mono", window.from, window.to);
    const found = new Map<string, ReadingRecord>(lastRows.all(window).map((row) => [row.channel, row]));
    // Every row is newer than any sealed reading, and each group than those before it.
    for (const group of groupsBefore.all(window)) {
      for (const row of groups.lastBefore(group, window, found)) found.set(row.channel, row);
    }
    const gatherer = gatherColumns(found.size);
    for (const row of [...found.values()].sort((a, b) => a.id - b.id)) gather(gatherer, row);
    return gatherer.take();
  });

  const lastReadingAt = db.transaction((request: LastMomentRequest): Instant | null => {
    const sessions = "session" in request ? [request.session] : sessionsOfBoot.all(request.bootId);
    const piece = lastPiece.get({ sessions: JSON.stringify(sessions) });
    if (piece === undefined) return null;
    if (piece.sealed === 1) return groups.lastMoment(piece.first);
    stretches.check("mono", Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
    return lastMoment.get(piece.first, piece.last) ?? null;
  });

  return { replayBlock, lastReadingsBefore, lastReadingAt };
}
