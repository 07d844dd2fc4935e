import type { Db } from "../database.js";

/** How many readings, and the wall times they lie between; null of none. */
export interface Extent {
  readonly readings: number;
  readonly from: number | null;
  readonly to: number | null;
}

export interface ThinnableRequest {
  readonly beforeWall: number;
}

/** Wall milliseconds, `from` included, `to` not; null for no bound, or for all channels. */
export interface ThinnedRequest {
  readonly from: number | null;
  readonly to: number | null;
  readonly channels: readonly string[] | null;
}

/** What `ReaderCalls` takes up of this file. */
export interface ExtentCalls {
  thinnable: { params: ThinnableRequest; result: Extent };
  thinned: { params: ThinnedRequest; result: Extent };
}

type ExtentAnswers = {
  readonly [K in keyof ExtentCalls]: (params: ExtentCalls[K]["params"]) => ExtentCalls[K]["result"];
};

/** How much the owner's rule of keeping takes away, and has taken. */
export function createExtents(db: Db): ExtentAnswers {
  const thinnable = db.prepare<{ before: number }, Extent>(
    `SELECT coalesce(sum(b.readings), 0) AS readings, min(b.min_wall) AS "from", max(b.max_wall) AS "to"
     FROM sealed s CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
     WHERE s.max_wall < @before AND NOT EXISTS (SELECT 1 FROM thinned t WHERE t.block = b.id)
       AND s.first_id < coalesce((SELECT min(first_id) FROM sealed WHERE max_wall >= @before), 9223372036854775807)`,
  );
  const thinned = db.prepare<{ from: number; to: number; channels: string | null }, Extent>(
    `SELECT coalesce(sum(t.removed), 0) AS readings, min(b.min_wall) AS "from", max(b.max_wall) AS "to"
     FROM thinned t CROSS JOIN block b ON b.id = t.block CROSS JOIN channel c ON c.id = b.channel
     WHERE t.removed > 0 AND b.max_wall >= @from AND b.min_wall < @to
       AND (@channels IS NULL OR c.name IN (SELECT value FROM json_each(@channels)))`,
  );
  const NONE: Extent = { readings: 0, from: null, to: null };

  return {
    thinnable: ({ beforeWall }) => thinnable.get({ before: beforeWall }) ?? NONE,
    thinned: ({ from, to, channels }) =>
      thinned.get({
        from: from ?? Number.MIN_SAFE_INTEGER,
        to: to ?? Number.MAX_SAFE_INTEGER,
        channels: channels === null ? null : JSON.stringify(channels),
      }) ?? NONE,
  };
}
