import { AppError } from "../errors.js";
import type { FigureCalls } from "./alarm-figures.js";
import { unsoundStretches } from "./checked-stretches.js";
import type { Db } from "./database.js";
import { createDeedReads } from "./deeds.js";
import { createMarks } from "./marks.js";
import type { ProcessReads } from "./process-reads.js";
import type { PageRequest, ReaderCalls, RunsRequest, SettingChangesRequest } from "./reader-calls.js";
import { createRecords } from "./records.js";
import { sound, unsoundRows } from "./row-checks.js";
import {
  loggedTransitionOf,
  placedTimesOf,
  type RunRecord,
  runOf,
  runRowOf,
  type SettingChangeRecord,
  settingChangeOf,
  type TransitionRecord,
} from "./rows.js";
import { createSeries, type SeriesAnswers } from "./series.js";
import { createExtents } from "./thinning/extent.js";
import type { Answers } from "./thread.js";
import type { TrialReads } from "./trials/calls.js";
import { createWindows } from "./windows.js";

export const LONGEST_PAGE = 500;

/** Every question the read-only connection answers but those about trials, without its thread. */
export type Reads = Answers<
  Omit<ReaderCalls, "open" | "seriesText" | keyof TrialReads | keyof ProcessReads | keyof FigureCalls>
> &
  SeriesAnswers;

function checkedLimit(limit: number): number {
  if (Number.isInteger(limit) && limit >= 1 && limit <= LONGEST_PAGE) return limit;
  throw new AppError("request-invalid", `A page has 1 to ${LONGEST_PAGE} rows.`);
}

/** One row more than the page is asked for: whether there is one says whether there is more. */
function page<R>(limit: number, rows: readonly R[]): { readonly rows: readonly R[]; readonly more: boolean } {
  return { rows: rows.slice(0, limit), more: rows.length > limit };
}

export function createReads(db: Db): Reads {
  const runById = db.prepare<[string], RunRecord>(`SELECT * FROM run WHERE id = ? AND ${sound("run")}`);
  const runs = db.prepare<[number | null, number, number], RunRecord>(
    `SELECT * FROM run WHERE number < coalesce(?, 9223372036854775807) AND ${sound("run")}
       AND (? = 0 OR EXISTS (
         SELECT 1 FROM json_each(run.stamp, '$.flags') f WHERE f.value ->> '$.flag' <> 'simulated'))
     ORDER BY number DESC LIMIT ?`,
  );
  const transitions = db.prepare<[number | null, number], TransitionRecord>(
    `SELECT * FROM alarm_transition WHERE seq < coalesce(?, 9223372036854775807) AND ${sound("alarm_transition")}
     ORDER BY seq DESC LIMIT ?`,
  );
  const changes = db.prepare<[number | null, number], SettingChangeRecord>(
    `SELECT * FROM setting_change WHERE id < coalesce(?, 9223372036854775807) AND ${sound("setting_change")}
     ORDER BY id DESC LIMIT ?`,
  );
  const changesOf = db.prepare<[string, number | null, number], SettingChangeRecord>(
    `SELECT * FROM setting_change WHERE subject = ? AND id < coalesce(?, 9223372036854775807) AND ${sound("setting_change")}
     ORDER BY id DESC LIMIT ?`,
  );

  return {
    ...createWindows(db),
    ...createSeries(db),
    ...createMarks(db),
    ...createRecords(db),
    ...createExtents(db),
    ...createDeedReads(db),
    runs({ before, limit, flaggedOnly = false }: RunsRequest) {
      const most = checkedLimit(limit);
      const { rows, more } = page(most, runs.all(before ?? null, flaggedOnly ? 1 : 0, most + 1));
      return { runs: rows.map(runRowOf), more };
    },
    run(id) {
      const row = runById.get(id);
      return row === undefined ? null : { ...runOf(row), placed: placedTimesOf(row) };
    },
    alarmLog({ before, limit }: PageRequest) {
      const most = checkedLimit(limit);
      const { rows, more } = page(most, transitions.all(before ?? null, most + 1));
      return { transitions: rows.map(loggedTransitionOf), more };
    },
    settingChanges({ before, limit, subject }: SettingChangesRequest) {
      const below = before ?? null;
      const most = checkedLimit(limit);
      const found =
        subject === undefined ? changes.all(below, most + 1) : changesOf.all(subject, below, most + 1);
      const { rows, more } = page(most, found);
      return { changes: rows.map(settingChangeOf), more };
    },
    integrity() {
      // The indexes too: what one of them leads astray would be taken for readings that are gone.
      const found = db.pragma("integrity_check") as { integrity_check: string }[];
      const damage = found.map((row) => row.integrity_check).filter((text) => text !== "ok");
      return damage.length > 0 ? damage : [...unsoundRows(db), ...unsoundStretches(db)];
    },
  };
}
