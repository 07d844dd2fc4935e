import type { SheetLine } from "../../model/decision.js";
import type { KeptEntry } from "../../model/entry.js";
import { planMark } from "../../model/plan.js";
import { groupedBy } from "../../review/grouped.js";

/**
 * The lines of a settings sheet: of each thing that it is for the latest, with what it was before.
 * @param entries newest first
 * @param numbers of plans, by their ids
 */
export function sheetLines(
  entries: readonly KeptEntry<"sheet">[],
  numbers: ReadonlyMap<string, number>,
): SheetLine[] {
  const byWhat = groupedBy(entries, ({ body }) => body.what.trim().toLowerCase());
  const lines = [...byWhat.values()].map(([latest, ...before]): SheetLine => {
    const { body, wall, by } = latest as KeptEntry<"sheet">;
    const number = body.plan === null ? undefined : numbers.get(body.plan);
    return {
      ...{ body, wall, by },
      planMark: number === undefined ? null : planMark({ number }),
      before: before.map((older) => ({ body: older.body, wall: older.wall, by: older.by })),
    };
  });
  return lines.sort((a, b) => a.body.what.localeCompare(b.body.what));
}
