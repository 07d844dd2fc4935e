import { fullText, longText, spanText } from "../words/time.js";
import type { Happening } from "./happenings.js";

/** One that can be told by itself. */
export type Single = Exclude<Happening, { readonly kind: "crowd" }>;

const MAINTENANCE_WORDS: Readonly<Record<string, string>> = { "optics-cleaned": "Optics cleaned" };

export function headOf(happening: Single): string {
  if (happening.kind === "run") return `Run ${happening.mark.number}`;
  if (happening.kind === "alarm") return happening.mark.title;
  if (happening.kind === "clock") {
    const { shiftMs } = happening.mark;
    return `Clock set ${shiftMs > 0 ? "forward" : "back"} by ${longText(Math.abs(shiftMs))}`;
  }
  return MAINTENANCE_WORDS[happening.mark.kind] ?? happening.mark.kind;
}

export function detailOf(happening: Single): string {
  if (happening.kind === "alarm") return happening.mark.detail;
  if (happening.kind === "maintenance") return happening.mark.note;
  if (happening.kind === "clock") {
    return happening.mark.placed
      ? "Times before it have been put right."
      : "What was kept before it stays at the times the clock said then.";
  }
  const { material, flagged } = happening.mark;
  return [material, flagged ? "flagged" : null].filter((part) => part).join(", ");
}

export function timeOf(happening: Single): string {
  if (happening.kind !== "run") return fullText(happening.wall);
  const { startWall, endWall } = happening.mark;
  return endWall === null
    ? `${fullText(startWall)}, still open`
    : spanText(startWall, Math.max(startWall, endWall));
}

/** The page of what a mark stands for; null for those that have none. */
export function pageOf(happening: Single): string | null {
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

/** How many things happened, the crowds counted out. */
export function howMany(happenings: readonly Happening[], of?: Exclude<Happening["kind"], "crowd">): number {
  return happenings.reduce((sum, { kind, mark }) => {
    if (kind === "crowd") return of === undefined || mark.of === of ? sum + mark.count : sum;
    return of === undefined || kind === of ? sum + 1 : sum;
  }, 0);
}

/** "3 runs, 1 alarm, maintenance once" */
export function countText(happenings: readonly Happening[]): string {
  return [
    counted(howMany(happenings, "run"), "run", "runs"),
    counted(howMany(happenings, "alarm"), "alarm", "alarms"),
    timesText(howMany(happenings, "maintenance")),
    howMany(happenings, "clock") === 0 ? null : "clock set",
  ]
    .filter((part) => part !== null)
    .join(", ");
}
