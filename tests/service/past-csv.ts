import { csvRow } from "../../station/journal/exchange/csv.js";
import type { ReviewRun } from "../../station/model/review.js";
import { PAST_COLUMNS } from "../../station/trials/past/columns.js";

/** Runs as somebody has them in a spreadsheet: the columns of past runs, with what is not known left empty. */
export function pastCsv(runs: readonly ReviewRun[]): string {
  const names = PAST_COLUMNS.map(({ name }) => name);
  const rows = runs.map((run) => {
    const cells: Readonly<Record<string, string | number | null | undefined>> = {
      run: run.id,
      started_at: run.wall === null ? null : new Date(run.wall).toISOString(),
      ...{ material: run.material, lot: run.lot, block: run.block },
      ...{ speed_mm_s: run.speed_mm_s, power_pct: run.power_pct, passes: run.passes },
      outcome: run.through ? "good" : "bad",
      ...Object.fromEntries(Object.entries(run.conditions).map(([id, value]) => [id, value.toFixed(4)])),
    };
    return csvRow(names.map((name) => String(cells[name] ?? "")));
  });
  return [csvRow(names), ...rows].join("");
}
