import { AppError } from "../errors.js";
import type { Series } from "../model/now.js";
import type { Unit } from "../model/quantity.js";
import { createCheckedStretches } from "./checked-stretches.js";
import type { Db } from "./database.js";
import type { RunSeriesRequest, SeriesRequest } from "./reader-calls.js";
import { type Reduced, Reduction } from "./reduction.js";
import { DAY_MS, MINUTE_MS, QUARTER_MS, TWO_HOURS_MS } from "./rollup.js";
import { createRollupReads } from "./rollup-reads.js";
import { sound } from "./row-checks.js";
import { createSealedReadings } from "./sealed.js";
import { sessionsOf } from "./sessions.js";
import { createThinnedMinutes } from "./thinning/thinned-reads.js";

export const MOST_BUCKETS = 2000;
/**
 * How much wider a bucket may become for the sake of being a multiple of a rollup's width: so that a chart of ten years of a
 * thousand points is drawn from some four thousand rollups of a day instead of 44,000 of two hours. There is no finer one
 * than the minute, so that a chart of a day has half the points it was asked for at worst.
 */
const WIDTHS = [
  { rollup: DAY_MS, most: 1.5, least: 0 },
  { rollup: TWO_HOURS_MS, most: 1.5, least: 0 },
  { rollup: QUARTER_MS, most: 1.5, least: 0 },
  { rollup: MINUTE_MS, most: 2, least: 0.8 * MINUTE_MS },
] as const;

export interface SeriesAnswers {
  series(request: SeriesRequest): Series;
  runSeries(request: RunSeriesRequest): Series;
}

interface Channel {
  readonly id: number;
  readonly unit: Unit;
}

/** Whole buckets from `from`: the last may reach past `to`, and holds nothing from there on. */
interface Window {
  readonly from: number;
  readonly to: number;
  readonly width: number;
}

interface Rows {
  readonly channel: number;
  readonly from: number;
  readonly to: number;
  readonly width: number;
}

/**
 * The reduction of rows to buckets along one of the two clocks. CROSS JOIN holds SQLite to finding the stretches first;
 * the plus before `r.channel` keeps it from building an index of all readings for the one question, which made a chart of
 * a day of ten channels some twenty-five times slower. Every number is bound as REAL, hence the CASTs: `7 / 2.0` is 3.5,
 * not a bucket.
 */
function reductionSql(clock: "wall" | "mono", stretches: string): string {
  return `SELECT CAST(r.${clock} - @from AS INTEGER) / CAST(@width AS INTEGER) AS bucket,
       min(r.value) AS min, total(r.value) AS sum, max(r.value) AS max, count(r.value) AS count, sum(r.quality = 2) AS bad
     FROM stretch s CROSS JOIN reading r ON r.id BETWEEN s.first_id AND s.last_id
     WHERE s.max_${clock} >= @from AND s.min_${clock} < @to AND ${stretches} AND +r.channel = @channel
       AND r.${clock} >= @from AND r.${clock} < @to
     GROUP BY bucket`;
}

/** Charts: the readings of one channel, from rows and blocks, or their rollups, reduced to buckets. */
export function createSeries(db: Db): SeriesAnswers {
  const channelByName = db.prepare<[string], { id: number; unit: Unit | null }>(
    `SELECT id, (SELECT unit FROM channel_definition WHERE channel = c.id AND ${sound("channel_definition")}
       ORDER BY id DESC LIMIT 1) AS unit
     FROM channel c WHERE name = ? AND ${sound("channel", "c")}`,
  );
  const rowsByWall = db.prepare<Rows, Reduced>(reductionSql("wall", "TRUE"));
  const rowsByMono = db.prepare<Rows & { bootId: string }, Reduced>(
    reductionSql("mono", `s.session IN ${sessionsOf("@bootId")}`),
  );
  const sealed = createSealedReadings(db);
  const thinned = createThinnedMinutes(db);
  const rollups = createRollupReads(db);
  const stretches = createCheckedStretches(db);

  function channelOf(name: string): Channel {
    const { id, unit } = channelByName.get(name) ?? { id: 0, unit: null };
    if (unit === null) {
      throw new AppError("channel-unknown", `The journal has no channel with the id ${name}.`);
    }
    return { id, unit };
  }

  /** Where readings were thinned their minutes take their place. @returns whether there were such */
  function fromReadings(
    into: Reduction,
    { id }: Channel,
    name: string,
    { from, to, width }: Window,
  ): boolean {
    stretches.check("wall", from, to);
    for (const row of rowsByWall.iterate({ channel: id, from, to, width })) into.takeReduced(row);
    for (const readings of sealed.byWall(id, name, from, to)) into.takeReadings(readings, "wall", from, to);
    return into.fillWithMinutes(thinned.within(id, name, from, to), from, to);
  }

  const series = db.transaction(({ channel: name, from, to, buckets }: SeriesRequest): Series => {
    const asked = windowOf(Math.floor(from), Math.ceil(to), buckets);
    const channel = channelOf(name);
    const rolled = rolledWindow(asked, buckets);
    const window = rolled ?? asked;
    const into = reductionOf(window);
    let fromMinutes = false;
    if (rolled === null) fromMinutes = fromReadings(into, channel, name, window);
    else rollups.takeInto(into, channel.id, name, rolled.rollup, window.from, window.to);
    return {
      channel: name,
      unit: channel.unit,
      from: window.from,
      to: window.to,
      buckets: into.buckets(window.from),
      ...(fromMinutes ? { thinned: true as const } : {}),
    };
  });

  const runSeries = db.transaction((request: RunSeriesRequest): Series => {
    const { channel: name, bootId, fromMono, toMono, startWall, buckets } = request;
    const window = windowOf(Math.floor(fromMono), Math.ceil(toMono), buckets);
    const { from, to, width } = window;
    const { id, unit } = channelOf(name);
    const into = reductionOf(window);
    stretches.check("mono", from, to);
    for (const row of rowsByMono.iterate({ channel: id, from, to, width, bootId })) into.takeReduced(row);
    for (const readings of sealed.byMono(id, name, bootId, from, to)) {
      into.takeReadings(readings, "mono", from, to);
    }
    const shown = Math.floor(startWall);
    return { channel: name, unit, from: shown, to: shown + (to - from), buckets: into.buckets(shown) };
  });

  return { series, runSeries };
}

/** @throws AppError "request-invalid" */
function windowOf(from: number, to: number, wanted: number): Window {
  if (!(to > from) || !Number.isSafeInteger(to - from)) {
    throw new AppError("request-invalid", "A series ends after it begins.");
  }
  if (!(wanted >= 1 && wanted <= MOST_BUCKETS)) {
    throw new AppError("request-invalid", `A series has 1 to ${MOST_BUCKETS} buckets.`);
  }
  return { from, to, width: Math.ceil((to - from) / Math.floor(wanted)) };
}

/**
 * The window widened to whole rollups, its buckets to multiples of them, where they are wide enough for that; null where
 * they are to be made of the readings themselves.
 */
function rolledWindow(
  { from, to, width }: Window,
  wanted: number,
): (Window & { readonly rollup: number }) | null {
  for (const { rollup, most, least } of WIDTHS) {
    const begins = Math.floor(from / rollup) * rollup;
    const ends = Math.ceil(to / rollup) * rollup;
    const needed = Math.max(width, (ends - begins) / Math.floor(wanted));
    const wider = Math.ceil(needed / rollup) * rollup;
    if (width >= least && wider <= most * width) return { from: begins, to: ends, width: wider, rollup };
  }
  return null;
}

function reductionOf({ from, to, width }: Window): Reduction {
  return new Reduction(from, width, Math.ceil((to - from) / width));
}
