import { AppError } from "../errors.js";
import { DamagedBytes } from "./byte-stream.js";
import type { Db } from "./database.js";
import type { Reduction } from "./reduction.js";
import { emptyRollup, MINUTE_MS, pageOf, type RollupColumns } from "./rollup.js";
import { decodeMinutes, decodePage, pageName } from "./rollup-codec.js";
import { sound } from "./row-checks.js";
import { overlappingBlocks } from "./sealed.js";

/** A live minute as it is stored. */
interface LiveRecord {
  readonly channel: number;
  readonly place: number;
  readonly min: number | null;
  readonly max: number | null;
  readonly sum: number;
  readonly count: number;
  readonly bad: number;
}

export interface RollupReads {
  /**
   * Takes every rollup of a width that begins between two moments of the wall clock (`to` not included; multiples of
   * the width) into a reduction: of sealed readings those of that width, of rows their minutes.
   * @throws AppError "readings-damaged"
   */
  takeInto(
    reduction: Reduction,
    channel: number,
    name: string,
    width: number,
    from: number,
    to: number,
  ): void;
}

export function createRollupReads(db: Db): RollupReads {
  const live = createLiveMinutes(db);
  const minutes = db.prepare<
    { channel: number; from: number; to: number },
    { sealed: number; data: Uint8Array }
    // LEFT JOIN: minutes that are gone are refused and not left out.
  >(overlappingBlocks("b.sealed, m.data", "LEFT JOIN block_minutes m ON m.block = b.id"));
  const pages = db.prepare<[number, number, number, number], { page: number; data: Uint8Array }>(
    "SELECT page, data FROM rollup_page WHERE channel = ? AND width = ? AND page BETWEEN ? AND ?",
  );

  function* sealedRollups(channel: number, width: number, from: number, to: number): Iterable<RollupColumns> {
    if (width === MINUTE_MS) {
      for (const { sealed, data } of minutes.all({ channel, from, to })) {
        yield decodeMinutes({ channel, first: sealed }, data);
      }
      return;
    }
    const last = to / width - 1;
    for (const { page, data } of pages.all(channel, width, pageOf(from / width), pageOf(last))) {
      yield decodePage(pageName(channel, width, page), data);
    }
  }

  return {
    takeInto(reduction, channel, name, width, from, to) {
      try {
        for (const rollups of sealedRollups(channel, width, from, to)) {
          reduction.takeRollups(rollups, width, from, to);
        }
      } catch (error) {
        if (!(error instanceof DamagedBytes)) throw error;
        throw new AppError(
          "readings-damaged",
          `What charts of ${name} are drawn from is damaged in the journal: stop the station and repair it from the ` +
            "readings (npm run station -- verify --repair).",
        );
      }
      reduction.takeRollups(live(channel, from, to), MINUTE_MS, from, to);
    },
  };
}

/** Stretches of rows at most whose minutes are kept in memory: hours of many channels. */
const FEW_STRETCHES = 64;

/**
 * The live minutes of a channel, at least those in a window. Those of every channel are looked through at once, each with its
 * checksum, and kept until somebody writes: the page asks for ten channels one after another. Where there are many rows, as after
 * an import, only those of the stretches that reach into the window are asked for, each time.
 */
function createLiveMinutes(db: Db): (channel: number, from: number, to: number) => RollupColumns {
  const many = db.prepare<[number], number>("SELECT count(*) FROM (SELECT 1 FROM stretch LIMIT ?)").pluck();
  const within = db.prepare<{ channel: number; from: number; to: number }, LiveRecord>(
    `SELECT l.channel, l.minute AS place, l.min, l.max, l.sum, l.count, l.bad FROM live_minute l
     WHERE l.stretch IN (SELECT s.first_id FROM stretch s
         WHERE CASE WHEN ${sound("stretch", "s")} THEN s.max_wall >= @from AND s.min_wall < @to END)
       AND CASE WHEN ${sound("live_minute", "l")} THEN l.channel = @channel END`,
  );
  const all = db.prepare<[], LiveRecord>(
    `SELECT channel, minute AS place, min, max, sum, count, bad FROM live_minute WHERE ${sound("live_minute")}`,
  );
  // The first changes with what others write, the second with what this connection does.
  const others = db.prepare<[], number>("PRAGMA data_version").pluck();
  const own = db.prepare<[], number>("SELECT total_changes()").pluck();
  let at = "";
  let held = new Map<number, RollupColumns>();
  return (channel, from, to) => {
    if ((many.get(FEW_STRETCHES + 1) ?? 0) > FEW_STRETCHES)
      return liveColumns(within.all({ channel, from, to }));
    const now = `${others.get()} ${own.get()}`;
    if (now !== at) {
      const rows = new Map<number, LiveRecord[]>();
      for (const row of all.all()) {
        const of = rows.get(row.channel);
        if (of === undefined) rows.set(row.channel, [row]);
        else of.push(row);
      }
      held = new Map([...rows].map(([id, of]) => [id, liveColumns(of)]));
      at = now;
    }
    return held.get(channel) ?? liveColumns([]);
  };
}

function liveColumns(rows: readonly LiveRecord[]): RollupColumns {
  const none = emptyRollup(0);
  return {
    place: Float64Array.from(rows, ({ place }) => place),
    min: Float64Array.from(rows, ({ min }) => min ?? none.min),
    max: Float64Array.from(rows, ({ max }) => max ?? none.max),
    sum: Float64Array.from(rows, ({ sum }) => sum),
    count: Float64Array.from(rows, ({ count }) => count),
    bad: Float64Array.from(rows, ({ bad }) => bad),
  };
}
