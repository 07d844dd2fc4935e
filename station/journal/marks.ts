import { AppError } from "../errors.js";
import { PRIORITIES, type Priority } from "../model/alarm.js";
import type {
  AlarmMark,
  ClockMark,
  Crowd,
  JournalSpan,
  MaintenanceMark,
  Marks,
  RunMark,
} from "../model/marks.js";
import type { Db } from "./database.js";
import { sound } from "./row-checks.js";
import { RUN_END, RUN_START, WIDE_MS } from "./schema.js";

export const MOST_MARKS = 1000;

/** Wall milliseconds, `from` included, `to` not; of each kind 1 to 1000 marks, beyond which it is told as crowds. */
export interface MarksRequest {
  readonly from: number;
  readonly to: number;
  readonly limit: number;
}

/** What `ReaderCalls` takes up of this file. */
export interface MarkCalls {
  marks: { params: MarksRequest; result: Marks };
  span: { params: null; result: JournalSpan };
}

type MarkAnswers = {
  readonly [K in keyof MarkCalls]: (params: MarkCalls[K]["params"]) => MarkCalls[K]["result"];
};

interface Window {
  readonly from: number;
  readonly to: number;
}

interface Parts extends Window {
  /** Milliseconds to a part. */
  readonly part: number;
}

interface RunRecord extends Omit<RunMark, "flagged"> {
  readonly flags: number;
}

type AlarmRecord = Omit<AlarmMark, "priority"> & { readonly priority: string };

interface CrowdRecord extends Omit<Crowd, "of" | "priority"> {
  /** Its place in `PRIORITIES`. */
  readonly rank: number | null;
}

/** A window is divided into as many parts where marks are told as crowds: some pixels of a wide screen each. */
const PARTS = 240;

const LONG = `(${RUN_END} IS NULL OR ${RUN_END} - ${RUN_START} > ${WIDE_MS})`;
const TIMES = `number, ${RUN_START} AS began, ${RUN_END} AS over`;
/** The runs that reach into the window, as far as each of two indexes finds them. */
const RUNS = `(
  SELECT ${TIMES} FROM run INDEXED BY run_by_wall
    WHERE ${RUN_START} < @to AND ${RUN_START} >= @from - ${WIDE_MS} AND NOT ${LONG} AND ${RUN_END} >= @from
  UNION ALL SELECT ${TIMES} FROM run INDEXED BY run_long
    WHERE ${LONG} AND ${RUN_START} < @to AND (${RUN_END} IS NULL OR ${RUN_END} >= @from))`;
const ALARMS = `alarm_transition INDEXED BY alarm_raised_by_wall
  WHERE transition = 'raised' AND wall >= @from AND wall < @to`;
const MAINTENANCE = "maintenance WHERE wall >= @from AND wall < @to";

const RANK = `CASE priority ${PRIORITIES.map((priority, rank) => `WHEN '${priority}' THEN ${rank}`).join(" ")} END`;

function countSql(source: string): string {
  return `SELECT count(*) FROM ${source}`;
}

/** Every number is bound as REAL, hence the CASTs. */
function crowdSql(source: string, begin: string, end: string, rank = "NULL"): string {
  return `SELECT min(${begin}) AS "from", max(${end}) AS "to", count(*) AS count, min(${rank}) AS rank FROM ${source}
    GROUP BY CAST(max(0, ${begin} - @from) AS INTEGER) / CAST(@part AS INTEGER) ORDER BY 1`;
}

/** What happened when, for the marks on a chart: found in indexes, so that only what is told is read. */
export function createMarks(db: Db): MarkAnswers {
  function kindOf<R, M>(of: Crowd["of"], source: string, list: string, crowd: string, markOf: (row: R) => M) {
    const count = db.prepare<Window, number>(countSql(source)).pluck();
    const all = db.prepare<Window, R>(list);
    const crowds = db.prepare<Parts, CrowdRecord>(crowd);
    return (window: Window, limit: number): { readonly marks: M[]; readonly crowds: Crowd[] } => {
      if ((count.get(window) ?? 0) <= limit) return { marks: all.all(window).map(markOf), crowds: [] };
      const part = Math.ceil((window.to - window.from) / PARTS);
      const found = crowds.all({ ...window, part }).map(({ rank, ...row }) => ({
        of,
        ...row,
        priority: rank === null ? null : (PRIORITIES[rank] ?? null),
      }));
      return { marks: [], crowds: found };
    };
  }

  const runs = kindOf<RunRecord, RunMark>(
    "run",
    RUNS,
    `SELECT id, number, ${RUN_START} AS startWall, ${RUN_END} AS endWall, settings ->> '$.material' AS material,
       (SELECT count(*) FROM json_each(run.stamp, '$.flags') f WHERE f.value ->> '$.flag' <> 'simulated') AS flags
     FROM run WHERE number IN (SELECT number FROM ${RUNS}) AND ${sound("run")} ORDER BY startWall DESC, number DESC`,
    crowdSql(RUNS, "began", "coalesce(over, began)"),
    ({ flags, ...run }) => ({ ...run, flagged: flags > 0 }),
  );
  const alarms = kindOf<AlarmRecord, AlarmMark>(
    "alarm",
    ALARMS,
    `SELECT seq, alarm, title, priority, wall, detail FROM ${ALARMS} AND ${sound("alarm_transition")} ORDER BY wall DESC, seq DESC`,
    crowdSql(ALARMS, "wall", "wall", RANK),
    (mark) => ({ ...mark, priority: mark.priority as Priority }),
  );
  const maintenance = kindOf<MaintenanceMark, MaintenanceMark>(
    "maintenance",
    MAINTENANCE,
    `SELECT id, kind, wall, note FROM ${MAINTENANCE} AND ${sound("maintenance")} ORDER BY wall DESC, id DESC`,
    crowdSql(MAINTENANCE, "wall", "wall"),
    (mark) => mark,
  );
  // A step that was itself recorded before the clock was known to be set has a true time too.
  const clock = db.prepare<
    Window & { most: number },
    Omit<ClockMark, "placed"> & { readonly placed: number }
  >(
    `SELECT * FROM (
       SELECT c.id, c.shift AS shiftMs, p.id IS NOT NULL AS placed,
         CASE WHEN c.mono < p.to_mono THEN c.mono + p.ahead ELSE c.wall END AS wall
       FROM clock_step c JOIN session s ON s.id = c.session
       LEFT JOIN placed_span p ON p.boot_id = s.boot_id AND c.mono BETWEEN p.from_mono AND p.to_mono
       WHERE c.shift <> 0)
     WHERE wall >= @from AND wall < @to ORDER BY wall DESC, id DESC LIMIT @most`,
  );
  // Older readings may be gone; the starts of the station remain, but for those by a clock that nobody had set.
  const span = db.prepare<[], JournalSpan>(
    `SELECT CASE WHEN s.last IS NULL THEN NULL ELSE min(s.first, coalesce(
         (SELECT min(started_wall) FROM session WHERE clock <> 'not synchronised'), s.first)) END AS "from",
       s.last AS "to"
     FROM (SELECT min(min_wall) AS first, max(max_wall) AS last FROM (
       SELECT min_wall, max_wall FROM stretch UNION ALL SELECT min_wall, max_wall FROM sealed)) s`,
  );

  return {
    marks({ from, to, limit }) {
      if (!(to > from)) throw new AppError("request-invalid", "A window ends after it begins.");
      if (!(Number.isInteger(limit) && limit >= 1 && limit <= MOST_MARKS)) {
        throw new AppError("request-invalid", `Ask for 1 to ${MOST_MARKS} marks of each kind.`);
      }
      const window = { from, to };
      const ran = runs(window, limit);
      const raised = alarms(window, limit);
      const done = maintenance(window, limit);
      return {
        runs: ran.marks,
        alarms: raised.marks,
        maintenance: done.marks,
        clock: clock.all({ ...window, most: limit }).map((mark) => ({ ...mark, placed: mark.placed === 1 })),
        crowds: [...ran.crowds, ...raised.crowds, ...done.crowds],
      };
    },
    span: () => span.get() ?? { from: null, to: null },
  };
}
