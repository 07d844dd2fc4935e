import type { RunRow } from "../../model/now.js";
import type { Run } from "../../model/run.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import { type RunRecord, runOf, runRowOf } from "../rows.js";
import type { PlanRecord } from "./calls.js";
import { createEntriesOfPlan } from "./kept-entries.js";
import { lotOf, type NumberedRecord, planOf, type SpecimenRecord, specimenOf } from "./rows.js";

export const SPECIMENS = `SELECT specimen.code, plan.id AS plan_id, specimen.block, specimen.place, lot.id AS lot_id,
    specimen.setting, specimen.replaces
  FROM specimen JOIN plan ON plan.number = specimen.plan JOIN lot ON lot.number = specimen.lot
  WHERE ${sound("specimen")}`;

/** Plans with what was entered about them, over the read-only connection. Null where there is none of this id. */
export function createPlanRecords(db: Db) {
  const lotById = db.prepare<[string], NumberedRecord>(`SELECT * FROM lot WHERE id = ? AND ${sound("lot")}`);
  const planById = db.prepare<[string], NumberedRecord>(
    `SELECT * FROM plan WHERE id = ? AND ${sound("plan")}`,
  );
  const specimensOf = db.prepare<[number], SpecimenRecord>(
    `${SPECIMENS} AND specimen.plan = ? ORDER BY specimen.block, specimen.place`,
  );
  const allEntries = createEntriesOfPlan(db, "kind IN ('grade', 'step', 'checks', 'phase', 'decision')");
  const coreEntries = createEntriesOfPlan(
    db,
    "(kind IN ('step', 'checks', 'phase') OR (kind = 'grade' AND property = 'through'))",
  );
  const photosOfPlan = db.prepare<[number], { subject: string; photos: number }>(
    "SELECT subject, count(*) AS photos FROM trial_entry WHERE plan = ? AND kind = 'photo' GROUP BY subject",
  );
  const runsOf = db.prepare<[number], RunRecord>(
    `SELECT run.* FROM specimen JOIN run ON run.specimen = specimen.code
     WHERE specimen.plan = ? AND ${sound("run")} ORDER BY run.number`,
  );

  function recordOf(id: string, entriesOfPlan: ReturnType<typeof createEntriesOfPlan>): PlanRecord | null {
    const row = planById.get(id);
    if (row === undefined) return null;
    const plan = planOf(row);
    return {
      plan,
      lots: plan.facts.lots.flatMap((lot) => {
        const found = lotById.get(lot);
        return found === undefined ? [] : [lotOf(found)];
      }),
      specimens: specimensOf.all(row.number).map(specimenOf),
      entries: entriesOfPlan(row.number),
      photos: Object.fromEntries(
        photosOfPlan.all(row.number).map(({ subject, photos }) => [subject, photos]),
      ),
      runs: runsOf.all(row.number).map((run): RunRow => runRowOf(run)),
    };
  }

  return {
    whole: (id: string) => recordOf(id, allEntries),
    /** Only with the entries that say what is to be done next. */
    core: (id: string) => recordOf(id, coreEntries),
    /** With their stamps, by their ids. */
    runs(id: string): ReadonlyMap<string, Run> {
      const row = planById.get(id);
      return new Map(row === undefined ? [] : runsOf.all(row.number).map((run) => [run.id, runOf(run)]));
    },
  };
}
