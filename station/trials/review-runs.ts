import type { KeptEntry } from "../model/entry.js";
import { type Lot, lotMark } from "../model/lot.js";
import { MAINTENANCE, type MaintenanceKind, type MaintenanceRow } from "../model/maintenance.js";
import { type Plan, planMark } from "../model/plan.js";
import type { ReviewMark, ReviewRun } from "../model/review.js";
import type { PlacedRun, Stamp } from "../model/run.js";
import type { Grades, Specimen, SpecimenView } from "../model/specimen.js";
import { groupedBy } from "../review/grouped.js";
import { bendingResult } from "./bending-result.js";
import { conditionMean, MEASURED_CONDITIONS } from "./condition-means.js";
import { throughUpTo } from "./decision/speeds.js";
import { focusOff } from "./focus-off.js";
import { viewSpecimen } from "./plans/specimen-view.js";
import { reviewedPast } from "./review-past.js";
import { runRowOf } from "./run-row.js";

/** A specimen that was cut, with what was entered of it, oldest first. */
export interface GivenSpecimen {
  readonly specimen: Specimen;
  readonly plan: Plan;
  readonly lot: Lot | null;
  readonly steps: readonly KeptEntry<"step">[];
  readonly grades: readonly KeptEntry<"grade">[];
}

/** What the journal has of runs. */
export interface GivenRuns {
  /** Those that ended. */
  readonly runs: readonly PlacedRun[];
  readonly specimens: readonly GivenSpecimen[];
  /** Oldest first. */
  readonly past: readonly KeptEntry<"past">[];
}

/** A run as review takes it, and what else is known of it. */
export interface ReviewedRun {
  readonly run: ReviewRun;
  /** Whether it is from before the station. */
  readonly past: boolean;
  /** Ids; null where it is of none. */
  readonly lot: string | null;
  readonly plan: string | null;
  /** That its stamp was judged by; null for a past run. */
  readonly coolantRange: Stamp["coolantRange"] | null;
  /** By which runs are put in order, also where the clock was not set. */
  readonly order: number;
}

export interface ReviewedRuns {
  /** Oldest first. */
  readonly runs: readonly ReviewedRun[];
  /** Simulated runs that do not count beside real ones. */
  readonly simulatedLeftOut: number;
}

/**
 * The runs that are reviewed, of the station and from before it. Nothing is filled in: a condition that was not measured well enough
 * is not among those of its run, and without a grade of "Cut through" a run has no outcome. Simulated runs count only where there
 * are no others.
 */
export function reviewedRuns({ runs: all, specimens, past }: GivenRuns): ReviewedRuns {
  const real = all.filter(({ simulated }) => !simulated);
  const runs = past.length > 0 || real.length > 0 ? real : all;
  const runsOf = groupedBy(runs, ({ settings }) => settings.specimen ?? "");
  const cut = new Map(specimens.map((each) => [each.specimen.code, cutOf(each, runsOf)]));
  const cuts = runs.map((run) => cut.get(run.settings.specimen ?? "") ?? null);
  const off = focusOff(runs.map((run, i) => spacerOf(run, cuts[i] ?? null)));
  const pressed = new Set(
    cuts.flatMap((each) => (each?.view.grades[0].press_out_N === undefined ? [] : [each.material])),
  );
  const own = runs.map((run, i) => reviewedRun(run, cuts[i] ?? null, off[i] ?? null, pressed));
  const before = reviewedPast(
    past.map(({ entry, body }) => ({ id: entry, body })),
    "Past run",
  );
  return {
    runs: [...before, ...own].sort((a, b) => a.order - b.order),
    simulatedLeftOut: all.length - runs.length,
  };
}

/** What was done to the machine, oldest first. */
export function reviewMarks(rows: readonly MaintenanceRow[]): ReviewMark[] {
  return rows
    .map(({ kind, wall, note }) => ({ wall, what: whatWasDone(kind, note) }))
    .sort((a, b) => a.wall - b.wall);
}

function whatWasDone(kind: string, note: string): string {
  const known = Object.hasOwn(MAINTENANCE, kind) ? MAINTENANCE[kind as MaintenanceKind] : "";
  return (kind === "other" || known === "") && note !== "" ? note : known || MAINTENANCE.other;
}

/** A specimen as it was cut. */
interface Cut extends GivenSpecimen {
  readonly view: SpecimenView;
  readonly material: string;
  /** The id of the run that its grades speak of: of several that were set alike the last; null where they were not. */
  readonly gradedRun: string | null;
}

function cutOf(given: GivenSpecimen, runsOf: ReadonlyMap<string, readonly PlacedRun[]>): Cut {
  const runs = (runsOf.get(given.specimen.code) ?? []).map(runRowOf).sort((a, b) => a.number - b.number);
  const { steps, grades, lot } = given;
  const view = viewSpecimen(given.specimen, {
    ...{ steps, grades, runs },
    ...{ photos: 0, twice: false, replacedBy: null },
  });
  const gradedRun = view.cutWith === null ? null : (runs.at(-1)?.id ?? null);
  return { ...given, view, gradedRun, material: lot === null ? "" : materialOf(lot) };
}

/** The stock as it was bought, whichever lot it came in. */
function materialOf({ facts: { product, nominal_mm, supplier = "" } }: Lot): string {
  const name = product.includes(`${nominal_mm} mm`) ? product : `${product} ${nominal_mm} mm`;
  return supplier === "" ? name : `${name}, ${supplier}`;
}

function spacerOf({ settings }: PlacedRun, cut: Cut | null) {
  const spacerMm = settings.focus_spacer_mm ?? cut?.specimen.setting.focus_spacer_mm;
  const stock = cut?.lot?.id ?? settings.material;
  return spacerMm === undefined || stock === undefined ? null : { stock, spacerMm };
}

function reviewedRun(
  placed: PlacedRun,
  cut: Cut | null,
  focus: number | null,
  pressed: ReadonlySet<string>,
): ReviewedRun {
  const { id, number, settings, stamp } = placed;
  const planned = cut?.specimen.setting;
  const startWall = placed.placed?.startWall ?? placed.startWall;
  const isTimeKnown = placed.placed !== null || placed.clockAtStart !== "not synchronised";
  const graded = cut?.gradedRun === id && cut.view.state === "cut" ? cut : null;
  return {
    run: {
      id,
      name: `Run ${number}`,
      wall: isTimeKnown ? startWall : null,
      material: cut?.lot == null ? (settings.material ?? null) : cut.material,
      lot: cut?.lot == null ? (settings.lot ?? null) : lotMark(cut.lot),
      block: cut === null ? null : `${planMark(cut.plan)} block ${cut.specimen.block}`,
      speed_mm_s: settings.speed_mm_s ?? planned?.speed_mm_s ?? null,
      power_pct: settings.power_pct ?? planned?.power_pct ?? null,
      passes: settings.passes ?? planned?.passes ?? null,
      ...outcomeOf(graded),
      strength: graded === null ? null : strengthOf(graded, pressed.has(graded.material)),
      conditions: conditionsOf(stamp, focus),
    },
    past: false,
    lot: cut?.lot?.id ?? null,
    plan: cut?.plan.id ?? null,
    coolantRange: stamp?.coolantRange ?? null,
    order: startWall,
  };
}

function outcomeOf(graded: Cut | null): Pick<ReviewRun, "through" | "grade"> {
  const grade = graded?.view.grades[0].through?.value;
  if (graded === null || grade === undefined) return { through: null, grade: null };
  return { through: grade <= throughUpTo(graded.plan.facts), grade };
}

/** N or N/mm²: a stock of which any piece was pressed out is not told by bending. */
function strengthOf({ view, lot }: Cut, isPressed: boolean): number | null {
  const grades: Grades = view.grades[0];
  if (isPressed) return grades.press_out_N?.value ?? null;
  return lot === null ? null : (bendingResult(grades, lot.facts.nominal_mm)?.strength ?? null);
}

function conditionsOf(stamp: Stamp | null, focus: number | null): Record<string, number> {
  const told = MEASURED_CONDITIONS.map((id) => [id, conditionMean(stamp, id)] as const);
  const all = [
    ...told,
    ["hours_since_optics_cleaned", stamp?.opticsHours ?? null] as const,
    ["focus_error_mm", focus] as const,
  ];
  return Object.fromEntries(
    all.flatMap(([id, value]) => (value === null || !Number.isFinite(value) ? [] : [[id, value]])),
  );
}
