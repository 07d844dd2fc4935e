import type {
  AlarmMark,
  ClockMark,
  Crowd,
  MaintenanceMark,
  Marks,
  RunMark,
} from "../../../station/model/marks.js";
import type { PanelMarks } from "../charts/panel-spec.js";
import type { Span } from "./span.js";

/** Something that happened, or many things of one kind, as a mark in time. */
export type Happening =
  | { readonly kind: "run"; readonly key: string; readonly wall: number; readonly mark: RunMark }
  | { readonly kind: "alarm"; readonly key: string; readonly wall: number; readonly mark: AlarmMark }
  | {
      readonly kind: "maintenance";
      readonly key: string;
      readonly wall: number;
      readonly mark: MaintenanceMark;
    }
  | { readonly kind: "clock"; readonly key: string; readonly wall: number; readonly mark: ClockMark }
  | { readonly kind: "crowd"; readonly key: string; readonly wall: number; readonly mark: Crowd };

/** All marks in the order of time, a run and a crowd by their start. */
export function happeningsOf({ runs, alarms, maintenance, clock, crowds }: Marks): readonly Happening[] {
  return [
    ...runs.map((mark) => ({ kind: "run", key: `run-${mark.number}`, wall: mark.startWall, mark }) as const),
    ...alarms.map((mark) => ({ kind: "alarm", key: `alarm-${mark.seq}`, wall: mark.wall, mark }) as const),
    ...maintenance.map(
      (mark) => ({ kind: "maintenance", key: `maintenance-${mark.id}`, wall: mark.wall, mark }) as const,
    ),
    ...clock.map((mark) => ({ kind: "clock", key: `clock-${mark.id}`, wall: mark.wall, mark }) as const),
    ...crowds.map(
      (mark) => ({ kind: "crowd", key: `${mark.of}s-${mark.from}`, wall: mark.from, mark }) as const,
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
 * Gathers marks so that each cluster has `apartPx` to itself, all of it inside the drawing. Marks outside the span, but for
 * one that reaches into it, are left out.
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
  return happening.wall >= from || endOf(happening) >= from;
}

/** When it was over, never before it began: the clock may have been set back meanwhile. An open run is not over. */
export function endOf(happening: Happening): number {
  const { kind, wall, mark } = happening;
  if (kind === "run") return Math.max(wall, mark.endWall ?? Number.POSITIVE_INFINITY);
  return kind === "crowd" ? mark.to : wall;
}

/** The same as they are drawn across the charts, the setting of the clock as maintenance is. */
export function panelMarks(happenings: readonly Happening[]): PanelMarks {
  const runs: PanelMarks["runs"][number][] = [];
  const alarms: PanelMarks["alarms"][number][] = [];
  const maintenance: number[] = [];
  for (const happening of happenings) {
    const { kind, wall, mark } = happening;
    const what = kind === "crowd" ? mark.of : kind;
    const end = endOf(happening);
    if (what === "run") runs.push([wall, end === Number.POSITIVE_INFINITY ? null : end]);
    else if ("priority" in mark && mark.priority !== null) alarms.push({ wall, priority: mark.priority });
    else maintenance.push(wall);
  }
  return { runs, alarms, maintenance };
}
