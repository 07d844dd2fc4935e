import { AppError } from "../errors.js";
import type { Bucket, Series } from "../model/now.js";
import type { Unit } from "../model/quantity.js";
import type { Db } from "./database.js";
import type { ReaderCalls, RunSeriesRequest, SeriesRequest } from "./protocol.js";

export const MOST_BUCKETS = 2000;

type SeriesAnswers = {
  readonly [K in "series" | "runSeries"]: (params: ReaderCalls[K]["params"]) => ReaderCalls[K]["result"];
};

interface Found {
  readonly bucket: number;
  readonly min: number;
  readonly mean: number;
  readonly max: number;
}

interface Reduction {
  readonly channel: number;
  readonly from: number;
  readonly to: number;
  readonly width: number;
}

/**
 * The reduction to buckets along one of the two clocks. CROSS JOIN holds SQLite to finding the stretches first; the plus
 * before `r.channel` keeps it from building an index of all readings for the one question, which made a chart of a day of
 * ten channels some twenty-five times slower. Every number is bound as REAL, hence the CASTs: `7 / 2.0` is 3.5, not a
 * bucket.
 */
function reductionSql(clock: "wall" | "mono", stretches: string): string {
  return `SELECT CAST(r.${clock} - @from AS INTEGER) / CAST(@width AS INTEGER) AS bucket,
       min(r.value) AS min, avg(r.value) AS mean, max(r.value) AS max
     FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id
     WHERE s.max_${clock} >= @from AND s.min_${clock} < @to AND ${stretches} AND +r.channel = @channel
       AND r.${clock} >= @from AND r.${clock} < @to AND r.value IS NOT NULL
     GROUP BY bucket ORDER BY bucket`;
}

/** Charts: the readings of one channel, reduced to buckets. */
export function createSeries(db: Db): SeriesAnswers {
  const channelByName = db.prepare<[string], { id: number; unit: Unit | null }>(
    `SELECT id, (SELECT unit FROM channel_definition WHERE channel = c.id ORDER BY id DESC LIMIT 1) AS unit
     FROM channel c WHERE name = ?`,
  );
  const byWall = db.prepare<Reduction, Found>(reductionSql("wall", "TRUE"));
  const byMono = db.prepare<Reduction & { bootId: string }, Found>(
    reductionSql("mono", "s.session IN (SELECT id FROM session WHERE boot_id = @bootId)"),
  );

  /**
   * @param shownFrom what `from` is called in the answer
   * @param rows the buckets that have a value
   */
  function reduce(
    name: string,
    window: { readonly from: number; readonly to: number; readonly wanted: number },
    shownFrom: number,
    rows: (reduction: Reduction) => Iterable<Found>,
  ): Series {
    const { from, to, wanted } = window;
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
    const shownTo = shownFrom + (to - from);
    const buckets: Bucket[] = [];
    for (let t = shownFrom; t < shownTo; t += width) buckets.push({ t, min: null, mean: null, max: null });
    for (const { bucket, min, mean, max } of rows({ channel: channel.id, from, to, width })) {
      buckets[bucket] = { t: shownFrom + bucket * width, min, mean, max };
    }
    return { channel: name, unit: channel.unit, from: shownFrom, to: shownTo, buckets };
  }

  function series({ channel, from: begin, to: end, buckets: wanted }: SeriesRequest): Series {
    const from = Math.floor(begin);
    return reduce(channel, { from, to: Math.ceil(end), wanted }, from, (reduction) =>
      byWall.iterate(reduction),
    );
  }

  function runSeries(request: RunSeriesRequest): Series {
    const { channel, bootId, fromMono, toMono, startWall, buckets: wanted } = request;
    const window = { from: Math.floor(fromMono), to: Math.ceil(toMono), wanted };
    return reduce(channel, window, Math.floor(startWall), (reduction) =>
      byMono.iterate({ ...reduction, bootId }),
    );
  }

  return { series, runSeries };
}
