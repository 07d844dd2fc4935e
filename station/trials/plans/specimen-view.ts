import type { KeptEntry } from "../../model/entry.js";
import type { PropertyId } from "../../model/grade.js";
import type { RunRow } from "../../model/now.js";
import type {
  GivenGrade,
  Grades,
  Specimen,
  SpecimenRun,
  SpecimenSetting,
  SpecimenState,
  SpecimenView,
} from "../../model/specimen.js";
import { cutWith, otherwise } from "./cut-setting.js";

type Facts = {
  readonly steps: readonly KeptEntry<"step">[];
  readonly grades: readonly KeptEntry<"grade">[];
  readonly photos: number;
  readonly runs: readonly RunRow[];
  readonly twice: boolean;
  readonly replacedBy: string | null;
};

/** A specimen with what became of it. Everything in the order in which it was kept. */
export function viewSpecimen(specimen: Specimen, facts: Facts): SpecimenView {
  const { steps, grades, photos, runs, twice, replacedBy } = facts;
  const { code, plan, block, place, lot, setting, replaces } = specimen;
  return {
    // By name: spread out, a plan of six hundred takes ten times as long.
    code,
    plan,
    block,
    place,
    lot,
    setting,
    replaces,
    state: stateOf(steps, runs),
    why: lastWord(steps)?.body.why ?? "",
    runs: runs.map((run) => runOf(specimen.setting, run)),
    cutWith: cutWith(specimen.setting, runs),
    grades: [gradesOf(grades, 1), gradesOf(grades, 2)],
    twice,
    photos,
    replacedBy,
  };
}

/** The last that was said of it; that it was chosen or done says nothing of what became of it. */
function lastWord(steps: readonly KeptEntry<"step">[]): KeptEntry<"step"> | undefined {
  const last = steps.findLast(({ body }) => body.step !== "chosen" && body.step !== "done");
  return last?.body.step === "waiting" ? undefined : last;
}

function stateOf(steps: readonly KeptEntry<"step">[], runs: readonly RunRow[]): SpecimenState {
  if (runs.some(({ endWall }) => endWall === null)) return "cutting";
  const last = lastWord(steps)?.body.step;
  if (last === "spoilt") return "spoilt";
  if (runs.length > 0) return "cut";
  return last === "skipped" ? "skipped" : "waiting";
}

const NO_GRADES: Grades = {};

function gradesOf(entries: readonly KeptEntry<"grade">[], grading: 1 | 2): Grades {
  if (entries.length === 0) return NO_GRADES;
  const given = new Map<PropertyId, GivenGrade["before"]>();
  for (const { property, body, enteredWall, wall, by } of entries) {
    if (body.grading !== grading) continue;
    const id = property as PropertyId;
    const older = given.get(id) ?? [];
    given.set(id, [{ value: body.value, wall: enteredWall ?? wall, by }, ...older]);
  }
  const grades: Partial<Record<PropertyId, GivenGrade>> = {};
  for (const [property, [last, ...before]] of given) {
    // One that was taken back is not there, though it is kept.
    if (last !== undefined && last.value !== null)
      grades[property] = { value: last.value, wall: last.wall, by: last.by, before };
  }
  return grades;
}

function runOf(planned: SpecimenSetting, run: RunRow): SpecimenRun {
  const { id, number, cause, startWall, endWall, flags, coolantMean } = run;
  return { id, number, cause, startWall, endWall, flags, coolantMean, otherwise: otherwise(planned, run) };
}
