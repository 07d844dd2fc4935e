import type { KeptEntry } from "../../model/entry.js";
import type { MaintenanceRow } from "../../model/maintenance.js";
import { groupedBy } from "../../review/grouped.js";
import type { Reviewed } from "../../trials/review-answers.js";
import { type GivenSpecimen, type ReviewedRun, reviewedRuns, reviewMarks } from "../../trials/review-runs.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import { placedTimesOf, type RunRecord, runOf } from "../rows.js";
import { createEntriesOfPlan } from "./kept-entries.js";
import { SPECIMENS } from "./plan-records.js";
import {
  type EntryRecord,
  entryOf,
  lotOf,
  type NumberedRecord,
  planOf,
  type SpecimenRecord,
  specimenOf,
} from "./rows.js";

/** Of runs that may have an outcome; more would keep a small board at it for long. */
const MOST_RUNS = 2_000;
/** Of runs with typed settings alone, which have no outcome and tell no more than which spacer is usual. */
const MOST_OTHERS = 500;
const MOST_MARKS = 2_000;
/** What review takes of the grades. */
const GRADES = [
  "through",
  "press_out_N",
  "bend_span_mm",
  "bend_width_mm",
  "bend_thickness_mm",
  "bend_break_N",
];

/** Every run that is reviewed, out of the journal, in a few questions each of which looks at the rows' checksums. */
export function createReviewRows(db: Db): () => Reviewed {
  const runs = (which: string) =>
    db.prepare<[number], RunRecord>(
      `SELECT * FROM run WHERE end_wall IS NOT NULL AND specimen IS ${which} AND ${sound("run")}
       ORDER BY number DESC LIMIT ?`,
    );
  const [ofSpecimens, others] = [runs("NOT NULL"), runs("NULL")];
  const specimens = db.prepare<[number], SpecimenRecord>(
    `${SPECIMENS} AND EXISTS (SELECT 1 FROM run WHERE run.specimen = specimen.code AND run.number >= ?)`,
  );
  const entriesOf = createEntriesOfPlan(
    db,
    `(kind = 'step' OR (kind = 'grade' AND property IN (${GRADES.map((id) => `'${id}'`).join(", ")})))`,
  );
  const lots = db.prepare<[], NumberedRecord>(`SELECT * FROM lot WHERE ${sound("lot")}`);
  const plans = db.prepare<[], NumberedRecord>(`SELECT * FROM plan WHERE ${sound("plan")}`);
  const past = db.prepare<[number], EntryRecord>(
    `SELECT * FROM trial_entry WHERE kind = 'past' AND ${sound("trial_entry")} ORDER BY id DESC LIMIT ?`,
  );
  const marks = db.prepare<[number], MaintenanceRow>(
    `SELECT id, kind, wall, note FROM maintenance WHERE ${sound("maintenance")} ORDER BY wall DESC, id DESC LIMIT ?`,
  );
  const count = (sql: string) => db.prepare<[], number>(sql).pluck();
  const runCount = count("SELECT count(*) FROM run WHERE end_wall IS NOT NULL AND specimen IS NOT NULL");
  const pastCount = count("SELECT count(*) FROM trial_entry WHERE kind = 'past'");

  function givenSpecimens(least: number): GivenSpecimen[] {
    const lotById = new Map(lots.all().map((row) => [row.id, lotOf(row)]));
    const planById = new Map(plans.all().map((row) => [row.id, planOf(row)]));
    const cut = specimens.all(least).map(specimenOf);
    const entries = [...new Set(cut.map(({ plan }) => planById.get(plan)?.number ?? 0))].flatMap(entriesOf);
    const of = groupedBy(entries, ({ kind, subject }) => `${kind} ${subject}`);
    return cut.flatMap((specimen): GivenSpecimen[] => {
      const plan = planById.get(specimen.plan);
      if (plan === undefined) return [];
      const steps = (of.get(`step ${specimen.code}`) ?? []) as KeptEntry<"step">[];
      const grades = (of.get(`grade ${specimen.code}`) ?? []) as KeptEntry<"grade">[];
      return [{ specimen, plan, lot: lotById.get(specimen.lot) ?? null, steps, grades }];
    });
  }

  return () => {
    const cut = ofSpecimens.all(MOST_RUNS);
    const least = cut.at(-1)?.number ?? Number.MAX_SAFE_INTEGER;
    const written = past.all(MOST_RUNS).map(entryOf).reverse() as KeptEntry<"past">[];
    const { runs: all, simulatedLeftOut } = reviewedRuns({
      runs: [...cut, ...others.all(MOST_OTHERS)].map((row) => ({
        ...runOf(row),
        placed: placedTimesOf(row),
      })),
      specimens: givenSpecimens(least),
      past: written,
    });
    const mayHaveOutcome = ({ past: isPast, plan }: ReviewedRun) => isPast || plan !== null;
    const newest = new Set(all.filter(mayHaveOutcome).slice(-MOST_RUNS));
    const before = (runCount.get() as number) + (pastCount.get() as number);
    const warnings: string[] = [];
    if (before > MOST_RUNS && newest.size === MOST_RUNS)
      warnings.push(`Only the newest ${MOST_RUNS} of ${before} runs are looked at.`);
    if (simulatedLeftOut > 0)
      warnings.push(
        `${simulatedLeftOut === 1 ? "1 run of the simulated bench is" : `${simulatedLeftOut} runs of the simulated bench are`} left out: beside real runs they do not count.`,
      );
    return {
      runs: all.filter((each) => newest.has(each) || !mayHaveOutcome(each)),
      marks: reviewMarks(marks.all(MOST_MARKS)),
      warnings,
    };
  };
}
