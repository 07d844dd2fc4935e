import type { KeptEntry } from "../../model/entry.js";
import type { RunRow } from "../../model/now.js";
import type { PlanView } from "../../model/specimen.js";
import { decide } from "../../trials/decision/decide.js";
import { withLate } from "../../trials/plans/handed-over.js";
import { previewPlan } from "../../trials/plans/plan-preview.js";
import { searchState } from "../../trials/plans/plan-search.js";
import { viewPlan } from "../../trials/plans/plan-view.js";
import { specimenTable } from "../../trials/plans/specimen-table.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import { type RunRecord, runOf, runRowOf } from "../rows.js";
import type { PlanRecord, TrialReads } from "./calls.js";
import { createEntriesOfPlan } from "./kept-entries.js";
import { PHOTO_SUMS } from "./photo-sums.js";
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
  readonly [K in keyof TrialReads]: (params: TrialReads[K]["params"]) => TrialReads[K]["result"];
};

const SPECIMENS = `SELECT specimen.code, plan.id AS plan_id, specimen.block, specimen.place, lot.id AS lot_id,
    specimen.setting, specimen.replaces
  FROM specimen JOIN plan ON plan.number = specimen.plan JOIN lot ON lot.number = specimen.lot
  WHERE ${sound("specimen")}`;

/** Every question about trials, over the read-only connection. */
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
  const planById = db.prepare<[string], NumberedRecord>(
    `SELECT * FROM plan WHERE id = ? AND ${sound("plan")}`,
  );
  const specimensOf = db.prepare<[number], SpecimenRecord>(
    `${SPECIMENS} AND specimen.plan = ? ORDER BY specimen.block, specimen.place`,
  );
  const specimenByCode = db.prepare<[string], SpecimenRecord>(`${SPECIMENS} AND specimen.code = ?`);
  const allEntries = createEntriesOfPlan(db, "kind IN ('grade', 'step', 'checks', 'phase', 'decision')");
  const coreEntries = createEntriesOfPlan(
    db,
    "(kind IN ('step', 'checks', 'phase') OR (kind = 'grade' AND property = 'through'))",
  );
  const photosOfPlan = db.prepare<[number], { subject: string; photos: number }>(
    "SELECT subject, count(*) AS photos FROM trial_entry WHERE plan = ? AND kind = 'photo' GROUP BY subject",
  );
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
  const runsOf = db.prepare<[number], RunRecord>(
    `SELECT run.* FROM specimen JOIN run ON run.specimen = specimen.code
     WHERE specimen.plan = ? AND ${sound("run")} ORDER BY run.number`,
  );
  const codes = db.prepare<[], string>("SELECT code FROM specimen").pluck();
  const sums = db.prepare<[], string>(PHOTO_SUMS).pluck();

  function planRecord(id: string, entriesOfPlan = allEntries): PlanRecord | null {
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

  function planView({ id, late }: TrialReads["plan"]["params"]): PlanView | null {
    const record = planRecord(id);
    return record === null ? null : viewPlan(withLate(record, late));
  }

  const upkeep = createUpkeepReads(db);

  /** Before the first run of each block: more would take long for a large plan. */
  function opticsHours({ blocks }: PlanView): number[] {
    return blocks.flatMap(({ specimens }) => {
      const first = specimens.flatMap(({ runs }) => runs).sort((a, b) => a.number - b.number)[0];
      if (first === undefined) return [];
      const [cleaned] = upkeep.upkeep({ run: first.id, kinds: ["optics-cleaned"] });
      return cleaned === undefined ? [] : [cleaned.laserHours];
    });
  }

  return {
    ...upkeep,
    lots: () => lots.all().map(lotOf),
    lot(id) {
      const row = lotById.get(id);
      return row === undefined ? null : lotOf(row);
    },
    plans: () =>
      plans
        .all()
        .map((row) => ({ plan: planOf(row), specimens: row.specimens, cut: row.cut, phase: row.phase })),
    planCore: (id) => planRecord(id, coreEntries),
    plan: planView,
    planText(asked) {
      const view = planView(asked);
      return view === null ? null : Buffer.from(JSON.stringify(view));
    },
    planTable(asked) {
      const view = planView(asked);
      const row = planById.get(asked.id);
      if (view === null || row === undefined) return null;
      return Buffer.from(
        specimenTable(view, new Map(runsOf.all(row.number).map((run) => [run.id, runOf(run)]))),
      );
    },
    specimenView({ code, plan: id, late }) {
      const view = planView({ id, late });
      const specimen = view?.blocks.flatMap(({ specimens }) => specimens).find((each) => each.code === code);
      if (view === null || specimen === undefined) return null;
      const { number, facts, madeWall, lots } = view;
      const lot = lots.find((each) => each.id === specimen.lot) ?? null;
      return { plan: { id, number, facts, madeWall }, lot, specimen };
    },
    decision({ id, facts, late }) {
      const view = planView({ id, late });
      return view === null ? null : decide(view, facts, opticsHours(view));
    },
    preview: previewPlan,
    searches: ({ layout, cuts }) => cuts.map((each) => searchState(layout, each)),
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
