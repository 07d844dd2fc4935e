import { alarmPerformance, type DatedTransition } from "../alarms/performance.js";
import { localDay } from "../cautions/local-day.js";
import type { AlarmPerformance } from "../model/alarm-performance.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";

/** More than a shop raises in ninety days; of a flood that goes on for weeks the latest. */
const MOST_TRANSITIONS = 100_000;

/** Wall milliseconds. */
export interface FiguresRequest {
  readonly from: number;
  readonly to: number;
}

export interface FigureCalls {
  alarmFigures: { params: FiguresRequest; result: AlarmPerformance };
}

/** A clock that was known to be set when its boot began, or became known to be since; "unknown" is shown as it is everywhere. */
const DATED = `(s.clock <> 'not synchronised' OR EXISTS (
  SELECT 1 FROM clock_step c JOIN session o ON o.id = c.session
  WHERE o.boot_id = s.boot_id AND c.after <> 'not synchronised'))`;

/** The figures of the alarms of a window, from what they did in it and, by a clock that nobody had set, in between. */
export function createAlarmFigures(db: Db): (request: FiguresRequest) => AlarmPerformance {
  const dated = db.prepare<[], { id: number; boot: string; dated: number; wall: number }>(
    `SELECT s.id, s.boot_id AS boot, ${DATED} AS dated, s.started_wall AS wall FROM session s ORDER BY s.id`,
  );
  const firstRaised = db
    .prepare<[number], number | null>(
      "SELECT min(seq) FROM alarm_transition WHERE transition = 'raised' AND wall >= ?",
    )
    .pluck();
  const transitions = db.prepare<[number, number], Omit<DatedTransition, "boot" | "dated"> & Row>(
    `SELECT seq, session, alarm, kind, title, priority, transition, to_state AS "to", wall, mono FROM alarm_transition
     WHERE seq >= ? AND ${sound("alarm_transition")} ORDER BY seq DESC LIMIT ?`,
  );
  return ({ from, to }) => {
    const sessions = new Map(dated.all().map((session) => [session.id, session]));
    const known = [...sessions.values()].filter((session) => session.dated === 1);
    const began = known.reduce((least, { wall }) => Math.min(least, wall), Number.POSITIVE_INFINITY);
    const seq = firstRaised.get(from) ?? null;
    const rows = seq === null ? [] : transitions.all(seq, MOST_TRANSITIONS);
    const found = rows.reverse().flatMap(({ session, seq: _, ...transition }) => {
      const its = sessions.get(session);
      if (its === undefined) return [];
      const isDated = its.dated === 1;
      // By the wall clock the first may have come from a time before, and the last be of a clock that ran ahead.
      if (isDated && (transition.wall < from || transition.wall >= to)) return [];
      return [{ ...transition, boot: its.boot, dated: isDated }];
    });
    return alarmPerformance(found, {
      from: Math.min(to, Math.max(from, began)),
      to,
      dayOf: localDay,
      cut: rows.length === MOST_TRANSITIONS,
    });
  };
}

interface Row {
  readonly seq: number;
  readonly session: number;
}
