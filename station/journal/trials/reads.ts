import type { KeptEntry } from "../../model/entry.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import type { ReviewReads, TrialReads, ViewQuestion } from "./calls.js";
import { PHOTO_SUMS } from "./photo-sums.js";
import { createPlanRecords, SPECIMENS } from "./plan-records.js";
import {
  type EntryRecord,
  entryOf,
  lotOf,
  type NumberedRecord,
  planOf,
  type SpecimenRecord,
  specimenOf,
} from "./rows.js";
import { createUpkeepReads } from "./upkeep.js";

type Answers = {
  readonly [K in Exclude<keyof TrialReads, ViewQuestion | keyof ReviewReads>]: (
    params: TrialReads[K]["params"],
  ) => TrialReads[K]["result"];
};

/** What is read of trials as it was kept, over the read-only connection. */
export function createTrialReads(db: Db): Answers {
  const lots = db.prepare<[], NumberedRecord>(`SELECT * FROM lot WHERE ${sound("lot")} ORDER BY number DESC`);
  const lotById = db.prepare<[string], NumberedRecord>(`SELECT * FROM lot WHERE id = ? AND ${sound("lot")}`);
  const plans = db.prepare<[], NumberedRecord & { specimens: number; cut: number; phase: string | null }>(
    `SELECT plan.*,
       (SELECT count(*) FROM specimen WHERE specimen.plan = plan.number) AS specimens,
       (SELECT count(*) FROM specimen WHERE specimen.plan = plan.number AND EXISTS (
          SELECT 1 FROM run WHERE run.specimen = specimen.code)) AS cut,
       (SELECT json_extract(body, '$.phase') FROM trial_entry WHERE trial_entry.plan = plan.number AND kind = 'phase' AND json_valid(body)
        ORDER BY id DESC LIMIT 1) AS phase
     FROM plan WHERE ${sound("plan")} ORDER BY number DESC`,
  );
  const specimenByCode = db.prepare<[string], SpecimenRecord>(`${SPECIMENS} AND specimen.code = ?`);
  const entriesOf = db.prepare<[string, string], EntryRecord>(
    `SELECT * FROM trial_entry WHERE kind = ? AND subject = ? AND ${sound("trial_entry")} ORDER BY id DESC`,
  );
  const entryById = db.prepare<[string], EntryRecord>(
    `SELECT * FROM trial_entry WHERE entry = ? AND ${sound("trial_entry")}`,
  );
  const pastRuns = db.prepare<[number], EntryRecord>(
    `SELECT * FROM trial_entry WHERE kind = 'past' AND ${sound("trial_entry")} ORDER BY id DESC LIMIT ?`,
  );
  const pastCount = db.prepare<[], number>("SELECT count(*) FROM trial_entry WHERE kind = 'past'").pluck();
  const codes = db.prepare<[], string>("SELECT code FROM specimen").pluck();
  const sums = db.prepare<[], string>(PHOTO_SUMS).pluck();

  return {
    ...createUpkeepReads(db),
    lots: () => lots.all().map(lotOf),
    lot(id) {
      const row = lotById.get(id);
      return row === undefined ? null : lotOf(row);
    },
    plans: () =>
      plans
        .all()
        .map((row) => ({ plan: planOf(row), specimens: row.specimens, cut: row.cut, phase: row.phase })),
    planCore: createPlanRecords(db).core,
    specimen(code) {
      const row = specimenByCode.get(code);
      return row === undefined ? null : specimenOf(row);
    },
    codes: () => codes.all(),
    entriesOf: ({ kind, subject }) => entriesOf.all(kind, subject).map(entryOf),
    entry(id) {
      const row = entryById.get(id);
      return row === undefined ? null : entryOf(row);
    },
    pastRuns: ({ limit }) => ({
      runs: pastRuns.all(limit).map(entryOf) as KeptEntry<"past">[],
      total: pastCount.get() as number,
    }),
    photoSums: () => sums.all(),
  };
}
