import { fullText, spanText } from "../words/time.js";
import type { Happening } from "./happenings.js";

const MAINTENANCE_WORDS: Readonly<Record<string, string>> = { "optics-cleaned": "Optics cleaned" };

export function headOf(happening: Happening): string {
  if (happening.kind === "run") return `Run ${happening.mark.number}`;
  if (happening.kind === "alarm") return happening.mark.title;
  return MAINTENANCE_WORDS[happening.mark.kind] ?? happening.mark.kind;
}

export function detailOf(happening: Happening): string {
  if (happening.kind === "alarm") return happening.mark.detail;
  if (happening.kind === "maintenance") return happening.mark.note;
  const { material, flagged } = happening.mark;
  return [material, flagged ? "flagged" : null].filter((part) => part).join(", ");
}

export function timeOf(happening: Happening): string {
  if (happening.kind !== "run") return fullText(happening.wall);
  const { startWall, endWall } = happening.mark;
  return endWall === null
    ? `${fullText(startWall)}, still open`
    : spanText(startWall, Math.max(startWall, endWall));
}

/** The page of what a mark stands for; null for maintenance, which has none. */
export function pageOf(happening: Happening): string | null {
  if (happening.kind === "run") return `/runs/${happening.mark.id}`;
  if (happening.kind === "alarm") return `/alarms?entry=${happening.mark.seq}`;
  return null;
}

function counted(count: number, one: string, many: string): string | null {
  return count === 0 ? null : `${count} ${count === 1 ? one : many}`;
}

function timesText(count: number): string | null {
  return count === 0 ? null : `maintenance ${count === 1 ? "once" : `${count} times`}`;
}

/** "3 runs, 1 alarm, maintenance once" */
export function countText(happenings: readonly Happening[]): string {
  const of = (kind: Happening["kind"]) => happenings.filter((each) => each.kind === kind).length;
  return [
    counted(of("run"), "run", "runs"),
    counted(of("alarm"), "alarm", "alarms"),
    timesText(of("maintenance")),
  ]
    .filter((part) => part !== null)
    .join(", ");
}
