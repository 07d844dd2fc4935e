import type { TrendWord } from "../model/now.js";
import { findBreakaway } from "./breakaway.js";
import { type ChillerCycle, findCycle } from "./chiller-cycle.js";
import {
  type Bin,
  type Binned,
  binReadings,
  fitLine,
  intervalFactor,
  type LineFit,
  type TrendPoint,
} from "./line-fit.js";

export type { TrendPoint } from "./line-fit.js";

/** The set range of the coolant, °C. */
export interface CoolantRange {
  readonly low: number;
  readonly high: number;
}

export interface TrendOptions {
  /** How far back to look, seconds; default 600. */
  readonly windowS?: number;
  /** How far ahead to forecast, minutes; default 60. */
  readonly horizonMin?: number;
  /** Smallest step of the sensor, °C; default 0.0625. */
  readonly resolution?: number;
  /** A last reading older than this says nothing about now, seconds; default 30. */
  readonly staleAfterS?: number;
}

export interface CoolantTrend {
  readonly word: TrendWord;
  /** Where the coolant is now, °C, noise averaged out; of a cycling one the middle of the cycle. Null when unknown. */
  readonly level: number | null;
  /** °C/min, and its standard error; null when unknown. */
  readonly slopePerMin: number | null;
  readonly slopeSe: number | null;
  /** Spread about the line, °C; of a cycling coolant that is the cycle. Null when unknown. */
  readonly residualSd: number | null;
  /** Minutes until it leaves the range, from 0 to `horizonMin`, which stands for "no sooner than that"; null when unknown. */
  readonly minutesInRange: number | null;
  readonly horizonMin: number;
  /** Which side of the range the last reading lies on. */
  readonly place: "inside" | "above" | "below";
  /** Trough and peak of the chiller's cycle, where there is one. */
  readonly cycle: { readonly low: number; readonly high: number; readonly periodMin: number } | null;
  /** Readings that the word and the slope rest on, and the seconds they span. */
  readonly n: number;
  readonly spanS: number;
}

const DEFAULTS = { windowS: 600, horizonMin: 60, resolution: 0.0625, staleAfterS: 30 } as const;

/** Below this many °C/min the coolant counts as steady, however sure the slope is: 0.6 °C in an hour. */
const STEADY_BELOW = 0.01;
const LEAST_READINGS = 5;
const LEAST_SPAN_MIN = 1;
/** Shares of the whole window that are looked at for a bend: 600, 300, 150, 75 and 40 s of ten minutes. */
const WINDOW_SHARES = [1, 1 / 2, 1 / 4, 1 / 8, 1 / 15] as const;
/** A turn or a bend smaller than this is not worth a word, °C; nor is one that six standard deviations of noise explain. */
const LEAST_TURN = 0.15;
/** How many half-widths of its 95 % interval a shorter line must be off: about 3.5 standard errors of many readings. */
const BEND_FACTOR = 1.75;
/** Level now: the mean of the readings of the last ten seconds, or of the last three. */
const LEVEL_MS = 10_000;
const LEVEL_READINGS = 3;

const NO_SPREAD = { above: 0, below: 0 } as const;

/** What there is to say before enough is known. */
export function unknownTrend(horizonMin: number = DEFAULTS.horizonMin): CoolantTrend {
  return {
    word: "unknown",
    level: null,
    slopePerMin: null,
    slopeSe: null,
    residualSd: null,
    minutesInRange: null,
    horizonMin,
    place: "inside",
    cycle: null,
    n: 0,
    spanS: 0,
  };
}

interface WindowFit {
  readonly binned: Binned;
  readonly line: LineFit;
}

/**
 * Where the coolant is going, and for how many minutes it will stay in its range.
 *
 * A chiller that switches on and off makes a saw-tooth of some tenths of a degree; a line through part of it would cry wolf
 * twice a cycle. So the turns are looked for first: if a whole cycle was seen and still goes on, the word is "cycling", the
 * slope is the drift of its middle, and the forecast repeats the last cycle. Otherwise the line is drawn through the longest
 * window that is still straight: a window is bent where the line through one of its later parts differs from it by more than
 * chance (3.5 standard errors) and by enough to see (0.15 °C). So a pump that stops shows within half a minute or so, and
 * a cool-down that has ended is not carried on for ever.
 *
 * Rising or falling: the slope is beyond its 95 % interval (allowing for autocorrelated residuals, see `fitLine`) and at least
 * 0.01 °C/min; or the newest readings break away from all before them (see `findBreakaway`). Steady: neither, and close to the
 * line; else unknown. The forecast is the time until level plus furthest deviation plus slope meets the bound it goes towards.
 * Outside the range: 0. Less than a minute of readings, fewer than five, or a last one that is stale: unknown.
 *
 * A pure function of the readings inside the window; those before it change nothing. Cost: a few passes over the window.
 * @param points in rising order of `mono`, finite values in °C
 * @param nowMono milliseconds, monotonic
 */
export function fitTrend(
  points: readonly TrendPoint[],
  nowMono: number,
  range: CoolantRange,
  options: TrendOptions = {},
): CoolantTrend {
  const { windowS, horizonMin, resolution, staleAfterS } = { ...DEFAULTS, ...options };
  const last = points[points.length - 1];
  if (last === undefined || nowMono - last.mono > staleAfterS * 1000) return unknownTrend(horizonMin);

  // A value rounded to steps of q carries an error of standard deviation q/√12.
  const sdFloor = resolution / Math.sqrt(12);
  const windows: WindowFit[] = [];
  for (const share of WINDOW_SHARES) {
    const binned = binReadings(points, nowMono, windowS * 1000 * share);
    const line = binned.n >= LEAST_READINGS ? fitLine(binned.bins, sdFloor) : null;
    if (line !== null) windows.push({ binned, line });
  }
  const [whole] = windows;
  const place = placeOf(last.value, range);
  if (whole === undefined || whole.binned.spanMin < LEAST_SPAN_MIN) {
    return { ...unknownTrend(horizonMin), place, n: whole?.binned.n ?? 0 };
  }

  const turn = Math.max(LEAST_TURN, 2.5 * resolution, 6 * whole.binned.binNoise);
  const cycle = findCycle(whole.binned.bins, turn, levelNow(points, 0), sdFloor);
  const base = { horizonMin, place };
  if (cycle !== null) return cyclingTrend(cycle, whole, range, base);

  const straight = straightest(windows, turn) ?? whole;
  // A line that fits badly says nothing of the coolant now; one through a later part of the window may.
  const chosen = windows.slice(windows.indexOf(straight)).find((each) => isCalm(each, turn)) ?? straight;
  const { binned, line } = chosen;
  const moving = isMoving(line);
  const sudden = findBreakaway(points, nowMono, windowS * 1000, turn, sdFloor);
  const facts = {
    ...base,
    residualSd: line.residualSd,
    cycle: null,
    n: binned.n,
    spanS: binned.spanMin * 60,
  };
  if (sudden !== null && !(moving && line.slope / sudden.slope > 0.5)) {
    const level = levelNow(points, sudden.slope);
    return {
      ...facts,
      word: wordOf(sudden.slope, true),
      level,
      slopePerMin: sudden.slope,
      slopeSe: sudden.slopeSe,
      minutesInRange:
        place === "inside" ? minutesToBound(level, sudden.slope, NO_SPREAD, range, horizonMin) : 0,
    };
  }
  const level = levelNow(points, moving ? line.slope : 0);
  const fit = { ...facts, level, slopePerMin: line.slope, slopeSe: line.slopeSe };
  // No slope that could be told from chance is not yet a steady coolant: it has to keep near the line, too.
  if (!moving && !isCalm(chosen, turn)) {
    return { ...fit, word: "unknown", minutesInRange: place === "inside" ? null : 0 };
  }
  const minutesInRange =
    place === "inside" ? minutesToBound(level, moving ? line.slope : 0, line, range, horizonMin) : 0;
  return { ...fit, word: wordOf(line.slope, moving), minutesInRange };
}

function isMoving(line: LineFit): boolean {
  return Math.abs(line.slope) >= Math.max(intervalFactor(line.dof) * line.slopeSe, STEADY_BELOW);
}

/** Moving, or close to its line over a minute at least. */
function isCalm({ line, binned }: WindowFit, visible: number): boolean {
  return isMoving(line) || (line.residualSd <= visible && binned.spanMin >= LEAST_SPAN_MIN);
}

function cyclingTrend(
  cycle: ChillerCycle,
  whole: WindowFit,
  range: CoolantRange,
  base: Pick<CoolantTrend, "horizonMin" | "place">,
): CoolantTrend {
  const moving = cycle.drifts && Math.abs(cycle.slope) >= STEADY_BELOW;
  const slope = moving ? cycle.slope : 0;
  const drifting = minutesToBound(cycle.middle, slope, cycle, range, base.horizonMin);
  const repeated = minutesByRepeating(whole.binned.bins, cycle.periodMin, slope, range) ?? base.horizonMin;
  return {
    ...base,
    word: moving ? wordOf(slope, true) : "cycling",
    level: cycle.middle,
    slopePerMin: cycle.slope,
    slopeSe: cycle.slopeSe,
    residualSd: whole.line.residualSd,
    minutesInRange: base.place === "inside" ? Math.min(drifting, repeated) : 0,
    cycle: { low: cycle.low, high: cycle.high, periodMin: cycle.periodMin },
    n: whole.binned.n,
    spanS: whole.binned.spanMin * 60,
  };
}

/** The longest window that no shorter one contradicts. */
function straightest(windows: readonly WindowFit[], visible: number): WindowFit | undefined {
  return windows.find(({ line }, i) =>
    windows.slice(i + 1).every((shorter) => {
      const difference = Math.abs(shorter.line.slope - line.slope);
      const byChance = BEND_FACTOR * intervalFactor(shorter.line.dof) * shorter.line.slopeSe;
      return difference <= byChance || difference * shorter.binned.spanMin < visible;
    }),
  );
}

/** Mean of the newest readings, carried to the newest of them along the slope, so that a slope does not leave it behind. */
function levelNow(points: readonly TrendPoint[], slopePerMin: number): number {
  const newest = points[points.length - 1]?.mono ?? 0;
  let sum = 0;
  let age = 0;
  let n = 0;
  for (let i = points.length - 1; i >= 0; i -= 1) {
    const point = points[i];
    if (point === undefined || (newest - point.mono > LEVEL_MS && n >= LEVEL_READINGS)) break;
    sum += point.value;
    age += (newest - point.mono) / 60_000;
    n += 1;
  }
  return (sum + slopePerMin * age) / n;
}

function minutesToBound(
  level: number,
  slope: number,
  { above, below }: { readonly above: number; readonly below: number },
  range: CoolantRange,
  horizonMin: number,
): number {
  if (slope === 0) return horizonMin;
  const room = slope > 0 ? range.high - level - above : range.low - level - below;
  return Math.min(horizonMin, Math.max(0, room / slope));
}

/** When the cycle leaves the range if the last one repeats with the drift; null where it stays inside. */
function minutesByRepeating(
  bins: readonly Bin[],
  periodMin: number,
  slope: number,
  range: CoolantRange,
): number | null {
  for (const { t, value } of bins) {
    if (t <= -periodMin) continue;
    if (placeOf(value + slope * periodMin, range) !== "inside") return t + periodMin;
  }
  return null;
}

function placeOf(value: number, { low, high }: CoolantRange): CoolantTrend["place"] {
  if (value > high) return "above";
  return value < low ? "below" : "inside";
}

function wordOf(slope: number, moving: boolean): TrendWord {
  if (!moving) return "steady";
  return slope > 0 ? "rising" : "falling";
}
