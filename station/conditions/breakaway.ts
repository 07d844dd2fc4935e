import { type Bin, fitLine, type TrendPoint } from "./line-fit.js";

/** A move out of where the coolant has been, too sudden for a line through minutes to show it. */
export interface Breakaway {
  /** °C/min, and its standard error. */
  readonly slope: number;
  readonly slopeSe: number;
}

/** The move is looked for in this much time, or in the last five readings where they are further apart. */
const SUDDEN_MS = 15_000;
const LEAST_READINGS = 5;
/** What is older than this is where the coolant has been. */
const BEFORE_MS = 20_000;
/** Of the slope over the whole that each half has to have. */
const LEAST_SHARE = 0.3;
/** Standard errors beyond which a slope of so few readings is no chance. */
const SURE = 4;

/**
 * Whether the newest readings run away from all that the window held before them: they lie beyond its highest or lowest value
 * by `visible`, and climb or fall by more than chance. Without it a pump that stops would pass for a poor line through a
 * good minute.
 * @param points in rising order of `mono`, °C
 * @param visible °C that a move must make to count
 * @param sdFloor least standard deviation of a reading, °C
 */
export function findBreakaway(
  points: readonly TrendPoint[],
  nowMono: number,
  windowMs: number,
  visible: number,
  sdFloor: number,
): Breakaway | null {
  const from = Math.min(nowMono - SUDDEN_MS, points.at(-LEAST_READINGS)?.mono ?? Number.POSITIVE_INFINITY);
  const sudden: Bin[] = [];
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = points.length - 1; i >= 0; i -= 1) {
    const point = points[i];
    if (point === undefined || point.mono <= nowMono - windowMs) break;
    if (point.mono >= from) sudden.unshift({ t: (point.mono - nowMono) / 60_000, value: point.value });
    else if (point.mono <= nowMono - BEFORE_MS) {
      lowest = Math.min(lowest, point.value);
      highest = Math.max(highest, point.value);
    }
  }
  if (sudden.length < LEAST_READINGS || highest < lowest) return null;
  const line = fitLine(sudden, sdFloor);
  const newest = sudden.slice(-2);
  const level = newest.reduce((sum, { value }) => sum + value, 0) / newest.length;
  if (line === null || Math.abs(line.slope) < SURE * line.slopeSe) return null;
  // A leap from one reading to the next is a fault of the wire more likely than of the water: it has to climb all the way.
  const half = Math.ceil(sudden.length / 2);
  const climbs = (bins: readonly Bin[]) => {
    const [first, last] = [bins[0], bins[bins.length - 1]];
    if (first === undefined || last === undefined || first.t === last.t) return false;
    return (last.value - first.value) / (last.t - first.t) / line.slope > LEAST_SHARE;
  };
  if (!climbs(sudden.slice(0, half)) || !climbs(sudden.slice(half - 1))) return null;
  const away = line.slope > 0 ? level - highest : lowest - level;
  return away >= visible ? { slope: line.slope, slopeSe: line.slopeSe } : null;
}
