import { AppError } from "../errors.js";
import type { Priority } from "../model/alarm.js";
import type { AlarmMark, JournalSpan, MaintenanceMark, Marks, RunMark } from "../model/marks.js";
import type { Db } from "./database.js";

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

/**
 * What happened when, for the marks on a chart. The tables of runs, alarms and maintenance grow by some tens of rows a day;
 * each is walked from its newest row, and the walk ends as soon as there are enough.
 */
export function createMarks(db: Db): MarkAnswers {
  const runs = db.prepare<Window, RunRecord>(
    `SELECT id, number, start_wall AS startWall, end_wall AS endWall, settings ->> '$.material' AS material,
       (SELECT count(*) FROM json_each(run.stamp, '$.flags') f WHERE f.value ->> '$.flag' <> 'simulated') AS flags
     FROM run WHERE start_wall < @to AND (end_wall IS NULL OR end_wall >= @from) ORDER BY number DESC LIMIT @most`,
  );
  const alarms = db.prepare<Window, Omit<AlarmMark, "priority"> & { readonly priority: string }>(
    `SELECT seq, alarm, title, priority, wall, detail FROM alarm_transition
     WHERE transition = 'raised' AND wall >= @from AND wall < @to ORDER BY seq DESC LIMIT @most`,
  );
  const maintenance = db.prepare<Window, MaintenanceMark>(
    `SELECT id, kind, wall, note FROM maintenance
     WHERE wall >= @from AND wall < @to ORDER BY id DESC LIMIT @most`,
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
        runs: runs.all(window).map(({ flags, ...run }) => ({ ...run, flagged: flags > 0 })),
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
