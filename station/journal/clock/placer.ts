import { SAME_CLOCK_MS } from "../../model/instant.js";
import type { ChannelReadings } from "../block-codec.js";
import { makeBlock, minutesOf, resolutions } from "../block-making.js";
import type { Db } from "../database.js";
import { unlessDamaged } from "../kept-minutes.js";
import { LIVE_COLUMNS, liveMinutesQuery } from "../schema.js";
import { type BlockRecord, openBlock } from "../sealed.js";
import { createStretchRows } from "../stretch-rows.js";
import { createRecount } from "./recount.js";

/**
 * Gives readings from before the clock was set their true wall time, a stretch or a block at a time. Each step is a
 * transaction of its own, which leaves every reading in one place and every rollup right, and does not mind being done
 * twice: whatever is cut off goes on at the next start.
 */
export interface Placer {
  /** @returns whether there was something to do @throws the SQLite error of a passing trouble: nothing of the step was written */
  step(): boolean;
}

interface Span {
  readonly id: number;
  readonly boot_id: string;
  readonly from_mono: number;
  readonly to_mono: number;
  readonly ahead: number;
  readonly row_done: number;
  readonly block_done: number;
}

interface StretchRecord {
  readonly first_id: number;
  readonly last_id: number;
  readonly sum: number;
}

type StoredBlock = BlockRecord & { readonly id: number; readonly name: string };

export function createPlacer(db: Db): Placer {
  const begun = db.prepare<[], Span>("SELECT * FROM placed_span WHERE done = 0 ORDER BY id LIMIT 1");
  const within =
    "session IN (SELECT id FROM session WHERE boot_id = @boot_id) AND max_mono >= @from_mono AND min_mono < @to_mono";
  const nextStretch = db.prepare<Span, StretchRecord>(
    `SELECT first_id, last_id, sum FROM stretch WHERE first_id > @row_done AND ${within} ORDER BY first_id LIMIT 1`,
  );
  const nextBlock = db.prepare<Span, StoredBlock>(
    `SELECT b.id, b.channel, b.sealed, b.min_wall, b.max_wall, b.data, c.name
     FROM (SELECT first_block, blocks FROM sealed WHERE ${within}) s
     CROSS JOIN block b ON b.id BETWEEN s.first_block AND s.first_block + s.blocks - 1
     JOIN channel c ON c.id = b.channel WHERE b.id > @block_done
       AND NOT EXISTS (SELECT 1 FROM thinned t WHERE t.block = b.id AND t.removed > 0) ORDER BY b.id LIMIT 1`,
  );
  const rowDone = db.prepare("UPDATE placed_span SET row_done = ? WHERE id = ?");
  const blockDone = db.prepare("UPDATE placed_span SET block_done = ? WHERE id = ?");
  const done = db.prepare("UPDATE placed_span SET done = 1 WHERE id = ?");

  const stretchRows = createStretchRows(db);
  const rows = "id BETWEEN @first_id AND @last_id AND mono >= @from_mono AND mono < @to_mono";
  const apart = db
    .prepare<Span & StretchRecord, number>(
      `SELECT 1 FROM reading WHERE ${rows} AND abs(wall - mono - @ahead) > ${SAME_CLOCK_MS} LIMIT 1`,
    )
    .pluck();
  const moveRows = db.prepare(`UPDATE reading SET wall = mono + @ahead WHERE ${rows}`);
  const respan = db.prepare(
    `UPDATE stretch SET (min_wall, max_wall) =
       (SELECT min(wall), max(wall) FROM reading WHERE id BETWEEN @first_id AND @last_id) WHERE first_id = @first_id`,
  );
  const dropLive = db.prepare("DELETE FROM live_minute WHERE stretch = ?");
  const makeLive = db.prepare(
    `INSERT INTO live_minute (${LIVE_COLUMNS}) ${liveMinutesQuery("WHERE s.first_id = ?")}`,
  );

  const saveBlock = db.prepare("UPDATE block SET min_wall = ?, max_wall = ?, data = ? WHERE id = ?");
  const saveMinutes = db.prepare(
    "INSERT INTO block_minutes (block, data) VALUES (?, ?) ON CONFLICT (block) DO UPDATE SET data = excluded.data",
  );
  const respanGroup = db.prepare(
    `UPDATE sealed SET revision = revision + 1, (min_wall, max_wall) = (SELECT min(b.min_wall), max(b.max_wall) FROM block b
       WHERE b.id BETWEEN sealed.first_block AND sealed.first_block + sealed.blocks - 1) WHERE first_id = ?`,
  );
  const resolutionOf = resolutions(db);
  const recount = createRecount(db);

  function placeRows(span: Span, stretch: StretchRecord): void {
    const of = { ...span, ...stretch };
    if (apart.get(of) === undefined) return;
    // What is not as it was written must not get minutes that say it is.
    if (stretchRows.sound(stretch.first_id, stretch.last_id, stretch.sum) === null) return;
    moveRows.run(of);
    respan.run(stretch);
    dropLive.run(stretch.first_id);
    makeLive.run(stretch.first_id);
  }

  function placeBlock(span: Span, block: StoredBlock): void {
    // One that was thinned is passed over: of most of its readings there are only the minutes. One that is damaged stays as it is, with its minutes.
    const readings = unlessDamaged(() => openBlock(block, block.name));
    const placed = readings === null ? null : placedReadings(span, readings);
    if (readings === null || placed === null) return;
    const name = { channel: block.channel, first: block.sealed };
    const made = makeBlock(name, placed, resolutionOf(block.channel));
    saveBlock.run(made.minWall, made.maxWall, made.data, block.id);
    saveMinutes.run(block.id, made.minuteData);
    recount.moved(block.channel, minutesOf(readings), made.minutes);
    respanGroup.run(block.sealed);
  }

  const step = db.transaction((): boolean => {
    const span = begun.get();
    if (span === undefined) return false;
    const stretch = nextStretch.get(span);
    if (stretch !== undefined) {
      placeRows(span, stretch);
      rowDone.run(stretch.first_id, span.id);
      return true;
    }
    const block = nextBlock.get(span);
    if (block !== undefined) {
      placeBlock(span, block);
      blockDone.run(block.id, span.id);
      return true;
    }
    done.run(span.id);
    return true;
  });

  return {
    // Looked for without the lock first: most of the time there is nothing.
    step: () => begun.get() !== undefined && step.immediate(),
  };
}

/** Null where nothing is to be moved. */
function placedReadings(
  { from_mono, to_mono, ahead }: Span,
  readings: ChannelReadings,
): ChannelReadings | null {
  const { wall, mono } = readings;
  let apart = false;
  const placed = wall.map((was, i) => {
    const at = mono[i] as number;
    if (at < from_mono || at >= to_mono) return was;
    apart ||= Math.abs(was - at - ahead) > SAME_CLOCK_MS;
    return at + ahead;
  });
  return apart ? { ...readings, wall: placed } : null;
}
