import { AppError } from "../errors.js";
import type { Priority } from "../model/alarm.js";
import type { AlarmMark, JournalSpan, MaintenanceMark, Marks, RunMark } from "../model/marks.js";
import type { Db } from "./database.js";
import { WIDE_MS } from "./schema.js";

export const MOST_MARKS = 1000;

/** Wall milliseconds, `from` included, `to` not; 1 to 1000 marks of each kind. */
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
  readonly most: number;
}

interface RunRecord extends Omit<RunMark, "flagged"> {
  readonly flags: number;
}

/** The runs that reach into the window, looked for by one of two indexes. */
const runsSql = (
  index: string,
) => `SELECT id, number, start_wall AS startWall, end_wall AS endWall, settings ->> '$.material' AS material,
    (SELECT count(*) FROM json_each(run.stamp, '$.flags') f WHERE f.value ->> '$.flag' <> 'simulated') AS flags
  FROM run INDEXED BY ${index} WHERE start_wall < @to AND (end_wall IS NULL OR end_wall >= @from)`;
const LONG_SQL = `(end_wall IS NULL OR end_wall - start_wall > ${WIDE_MS})`;
const NEWEST_SQL = "ORDER BY start_wall DESC, number DESC LIMIT @most";

/**
 * What happened when, for the marks on a chart: the newest by the wall clock first. Each is found by an index in that order,
 * so that the walk ends as soon as there are enough, or the window does.
 */
export function createMarks(db: Db): MarkAnswers {
  const shortRuns = db.prepare<Window, RunRecord>(
    `${runsSql("run_by_wall")} AND start_wall >= @from - ${WIDE_MS} AND NOT ${LONG_SQL} ${NEWEST_SQL}`,
  );
  const longRuns = db.prepare<Window, RunRecord>(`${runsSql("run_long")} AND ${LONG_SQL} ${NEWEST_SQL}`);
  const alarms = db.prepare<Window, Omit<AlarmMark, "priority"> & { readonly priority: string }>(
    `SELECT seq, alarm, title, priority, wall, detail FROM alarm_transition
     WHERE transition = 'raised' AND wall >= @from AND wall < @to ORDER BY wall DESC, seq DESC LIMIT @most`,
  );
  const maintenance = db.prepare<Window, MaintenanceMark>(
    `SELECT id, kind, wall, note FROM maintenance
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
      // One more than is asked for: whether there is one says whether there is more.
      const window = { from, to, most: limit + 1 };
      const found = {
        runs: [...shortRuns.all(window), ...longRuns.all(window)]
          .sort((a, b) => b.startWall - a.startWall || b.number - a.number)
          .map(({ flags, ...run }) => ({ ...run, flagged: flags > 0 })),
        alarms: alarms.all(window).map((mark) => ({ ...mark, priority: mark.priority as Priority })),
        maintenance: maintenance.all(window),
      };
      return {
        runs: found.runs.slice(0, limit),
        alarms: found.alarms.slice(0, limit),
        maintenance: found.maintenance.slice(0, limit),
        more: {
          runs: found.runs.length > limit,
          alarms: found.alarms.length > limit,
          maintenance: found.maintenance.length > limit,
        },
      };
    },
    span: () => span.get() ?? { from: null, to: null },
  };
}
