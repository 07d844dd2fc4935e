import { type ClockState, type ClockStep, type Instant, SAME_CLOCK_MS } from "../../model/instant.js";
import type { Db } from "../database.js";
import { type ClockEvent, type PlacedSpan, spansToPlace } from "./spans.js";

/** What the journal keeps of the wall clock. Everything happens in the transaction of the caller. */
export interface ClockRecord {
  /** A start of the station has been kept; the clock may have been set since the one before, in the same boot. */
  begun(session: number): void;
  /** Keeps a step, once, and places what it lets know the true time of: all but readings at once. */
  stepped(session: number, step: ClockStep): void;
  /** The parts of a boot that are placed. */
  spansOf(bootId: string): readonly PlacedSpan[];
}

interface Begun {
  readonly boot_id: string;
  readonly wall: number;
  readonly mono: number;
  readonly clock: ClockState;
}

/** Tables whose rows were recorded at a moment and are placed by it. */
const MOMENTS = [
  "alarm_transition",
  "maintenance",
  "setting_change",
  "lot",
  "plan",
  "trial_entry",
  "deed",
  "notice",
] as const;

export function createClockRecord(db: Db): ClockRecord {
  const sessionById = db.prepare<[number], Begun>(
    "SELECT boot_id, started_wall AS wall, started_mono AS mono, clock FROM session WHERE id = ?",
  );
  // A step that was found at a start has the same moment as that start, which says no more.
  const events = db.prepare<[string, string], ClockEvent>(
    `SELECT started_mono AS mono, started_wall - started_mono AS ahead, NULL AS before, clock AS after, id AS session, 1 AS started
     FROM session WHERE boot_id = ?
     UNION ALL SELECT c.mono, c.wall - c.mono, c.before, c.after, c.session, 0
     FROM clock_step c JOIN session s ON s.id = c.session WHERE s.boot_id = ?
     ORDER BY mono, session, started`,
  );
  const insertStep = db.prepare(
    `INSERT INTO clock_step (session, wall, mono, shift, before, after) VALUES (?, ?, ?, ?, ?, ?)
     ON CONFLICT (session, mono) DO NOTHING`,
  );
  const insertSpan = db.prepare(
    `INSERT INTO placed_span (boot_id, from_mono, to_mono, ahead) SELECT @bootId, @fromMono, @toMono, @ahead
     WHERE NOT EXISTS (SELECT 1 FROM placed_span WHERE boot_id = @bootId AND from_mono < @toMono AND to_mono > @fromMono)`,
  );
  const spans = db.prepare<[string], PlacedSpan>(
    "SELECT from_mono AS fromMono, to_mono AS toMono, ahead FROM placed_span WHERE boot_id = ?",
  );
  const place = [
    ...MOMENTS.map(
      (table) =>
        `UPDATE ${table} SET wall = mono + @ahead WHERE session IN (SELECT id FROM session WHERE boot_id = @bootId)
           AND mono >= @fromMono AND mono < @toMono`,
    ),
    // A run keeps the times of its stamp as well.
    ...["start", "end"].map(
      (end) =>
        `UPDATE run SET placed_${end} = ${end}_mono + @ahead WHERE boot_id = @bootId
           AND ${end}_mono >= @fromMono AND ${end}_mono < @toMono`,
    ),
  ].map((sql) => db.prepare(sql));

  function keep(session: number, { at, shiftMs, before, after }: ClockStep): void {
    insertStep.run(session, at.wall, at.mono, shiftMs, before, after);
  }

  function placeBefore(bootId: string): void {
    for (const span of spansToPlace(events.all(bootId, bootId))) {
      const placed = { bootId, ...span };
      if (insertSpan.run(placed).changes === 0) continue;
      for (const statement of place) statement.run(placed);
    }
  }

  function begunOf(session: number): Begun {
    return sessionById.get(session) as Begun;
  }

  return {
    begun(session) {
      const { boot_id, wall, mono, clock } = begunOf(session);
      const at: Instant = { wall, mono };
      const last = events.all(boot_id, boot_id).findLast((event) => event.mono < mono);
      const shiftMs = last === undefined ? 0 : wall - mono - last.ahead;
      if (last !== undefined && Math.abs(shiftMs) > SAME_CLOCK_MS) {
        keep(session, { at, shiftMs, before: last.after, after: clock });
      }
      placeBefore(boot_id);
    },
    stepped(session, step) {
      keep(session, step);
      placeBefore(begunOf(session).boot_id);
    },
    spansOf: (bootId) => spans.all(bootId),
  };
}
