import { csvRow, textCell } from "../../journal/exchange/csv.js";
import { PROPERTIES, type PropertyId, propertyOf } from "../../model/grade.js";
import { lotMark } from "../../model/lot.js";
import type { Run } from "../../model/run.js";
import type { PlanView, SpecimenView } from "../../model/specimen.js";
import { conditionMean, MEASURED_CONDITIONS } from "../condition-means.js";
import { lotName, thicknessOf } from "../lot-view.js";
import { PAST_COLUMNS } from "../past/columns.js";
import { countedOf } from "./counting.js";

/** What `outcome` says of each grade of "Cut through", in the words that past runs are taken in by. */
const OUTCOMES = ["fell out", "finger", "force", "stayed"] as const;
/**
 * A plan's specimens as a table for a spreadsheet (RFC 4180): first the columns that past runs are taken in by, so that what one station
 * writes another can read, then what else is known of each. What is not known is empty, never 0.
 * @param runs with their stamps, by their ids; of a specimen that was cut in several the last counts
 */
export function specimenTable(view: PlanView, runs: ReadonlyMap<string, Run>): string {
  const all = view.blocks.flatMap(({ specimens }) => specimens);
  const counted = new Set(countedOf(all, view.facts).counted.map(({ code }) => code));
  const given = new Set(all.flatMap(({ grades }) => grades.flatMap((each) => Object.keys(each))));
  const properties = (Object.keys(PROPERTIES) as PropertyId[]).filter((id) => given.has(id));
  const more = [
    "specimen",
    "place",
    "state",
    "why",
    "in_place_of",
    "counts",
    "air_assist",
    "focus_spacer_mm",
    "flags",
  ];
  const graded = properties.flatMap((id) => [nameOf(id), `${nameOf(id)}_second`]);
  const rows = all.map((specimen) => {
    const run = runs.get(specimen.runs.at(-1)?.id ?? "") ?? null;
    const own = ownCells(specimen, view, run);
    return csvRow([
      ...PAST_COLUMNS.map(({ name }) => own[name] ?? ""),
      specimen.code,
      String(specimen.place),
      specimen.state,
      textCell(specimen.why),
      specimen.replaces ?? "",
      counted.has(specimen.code) ? "yes" : "no",
      specimen.cutWith?.air_assist ?? "",
      number(specimen.cutWith?.focus_spacer_mm),
      textCell(specimen.runs.flatMap(({ flags }) => flags.map(({ text }) => text)).join(" ")),
      ...properties.flatMap((id) => specimen.grades.map((each) => number(each[id]?.value))),
    ]);
  });
  return [csvRow([...PAST_COLUMNS.map(({ name }) => name), ...more, ...graded]), ...rows].join("");
}

/** Those of the columns of past runs. Settings are those it was cut with; of one that was not cut they are empty. */
function ownCells(specimen: SpecimenView, view: PlanView, run: Run | null): Readonly<Record<string, string>> {
  const lot = view.lots.find(({ id }) => id === specimen.lot);
  const last = specimen.runs.at(-1);
  const through = specimen.grades[0].through?.value;
  const { cutWith } = specimen;
  const stamp = run?.stamp ?? null;
  const means = MEASURED_CONDITIONS.map((name) => [name, number(conditionMean(stamp, name))]);
  return {
    ...Object.fromEntries(means),
    run: last === undefined ? "" : String(last.number),
    started_at: last === undefined ? "" : new Date(last.startWall).toISOString(),
    material: lot === undefined ? "" : textCell(lotName(lot).slice(0, 80)),
    lot: lot === undefined ? "" : lotMark(lot),
    block: String(specimen.block),
    thickness_mm: number(lot === undefined ? null : thicknessOf(lot.facts)?.mean),
    speed_mm_s: number(cutWith?.speed_mm_s),
    power_pct: number(cutWith?.power_pct),
    passes: number(cutWith?.passes),
    outcome: through === undefined ? "" : (OUTCOMES[through] ?? ""),
    hours_since_optics_cleaned: number(run?.stamp?.opticsHours),
  };
}

function number(value: number | null | undefined): string {
  // To the ninth digit behind the point, which is what is taken in, and finer than any sensor.
  return value === null || value === undefined ? "" : String(Number(value.toFixed(9)));
}

/** With the unit, where the name does not end in one. */
function nameOf(id: PropertyId): string {
  return propertyOf(id).as === "grade" ? `${id}_grade` : id;
}
