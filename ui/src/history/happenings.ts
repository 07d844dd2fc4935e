import type { AlarmMark, MaintenanceMark, Marks, RunMark } from "../../../station/model/marks.js";
import type { Span } from "./span.js";

/** Something that happened, as a mark in time. */
export type Happening =
  | { readonly kind: "run"; readonly key: string; readonly wall: number; readonly mark: RunMark }
  | { readonly kind: "alarm"; readonly key: string; readonly wall: number; readonly mark: AlarmMark }
  | {
      readonly kind: "maintenance";
      readonly key: string;
      readonly wall: number;
      readonly mark: MaintenanceMark;
    };

/** All marks in the order of time, a run by its start. */
export function happeningsOf({ runs, alarms, maintenance }: Marks): readonly Happening[] {
  return [
    ...runs.map((mark) => ({ kind: "run", key: `run-${mark.number}`, wall: mark.startWall, mark }) as const),
    ...alarms.map((mark) => ({ kind: "alarm", key: `alarm-${mark.seq}`, wall: mark.wall, mark }) as const),
    ...maintenance.map(
      (mark) => ({ kind: "maintenance", key: `maintenance-${mark.id}`, wall: mark.wall, mark }) as const,
    ),
  ].sort((a, b) => a.wall - b.wall || a.key.localeCompare(b.key));
}

/** Marks that stand so near each other that a finger could not tell them apart. */
export interface Cluster {
  /** Pixels from the left edge of the drawing to the middle. */
  readonly x: number;
  readonly happenings: readonly Happening[];
}

/**
 * Gathers marks so that each cluster has `apartPx` to itself, all of it inside the drawing. Marks outside the span, but for a
 * run that reaches into it, are left out.
 * @param happenings in the order of time
 */
export function clustersOf(
  happenings: readonly Happening[],
  { from, to }: Span,
  widthPx: number,
  apartPx: number,
): readonly Cluster[] {
  const clusters: { x: number; happenings: Happening[] }[] = [];
  for (const happening of happenings) {
    if (!within(happening, from, to)) continue;
    const exact = ((happening.wall - from) / (to - from)) * widthPx;
    const x = Math.max(apartPx / 2, Math.min(widthPx - apartPx / 2, exact));
    const newest = clusters.at(-1);
    // By the first of a cluster, so that a long row of marks is not drawn into one.
    if (newest !== undefined && x - newest.x < apartPx) newest.happenings.push(happening);
    else clusters.push({ x, happenings: [happening] });
  }
  return clusters;
}

export function within(happening: Happening, from: number, to: number): boolean {
  if (happening.wall >= to) return false;
  if (happening.wall >= from) return true;
  return happening.kind === "run" && (happening.mark.endWall ?? Number.POSITIVE_INFINITY) >= from;
}
