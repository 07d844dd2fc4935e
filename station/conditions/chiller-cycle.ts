import { type Bin, fitLine, intervalFactor } from "./line-fit.js";

/** The up and down of a chiller that switches on and off, as far as it is still going on. */
export interface ChillerCycle {
  /** Lowest trough and highest peak of the cycles counted. */
  readonly low: number;
  readonly high: number;
  readonly periodMin: number;
  /** Drift of the middle of the cycle, per minute; 0 where too few cycles were seen. */
  readonly slope: number;
  readonly slopeSe: number;
  /** The drift is beyond its own uncertainty and large enough to matter beside the swing. */
  readonly drifts: boolean;
  /** Middle of the cycle now, the drift carried on, and the furthest that peaks lie above it and troughs below (≤ 0). */
  readonly middle: number;
  readonly above: number;
  readonly below: number;
}

interface Turning {
  readonly extremes: readonly Bin[];
  /** Where the record began, and the furthest point of the leg that is under way. */
  readonly start: Bin;
  readonly end: Bin;
}

/**
 * Peaks and troughs: a turn counts once the value has come back by `threshold` from its furthest point, so that noise does
 * not count.
 */
function turningPoints(bins: readonly Bin[], threshold: number): Turning | null {
  const [first] = bins;
  if (first === undefined) return null;
  const extremes: Bin[] = [];
  let direction = 0;
  let high = first;
  let low = first;
  let start = first;
  for (const bin of bins) {
    if (bin.value > high.value) high = bin;
    if (bin.value < low.value) low = bin;
    if (direction <= 0 && bin.value - low.value >= threshold) {
      if (direction === 0) start = low;
      else extremes.push(low);
      direction = 1;
      high = bin;
    } else if (direction >= 0 && high.value - bin.value >= threshold) {
      if (direction === 0) start = high;
      else extremes.push(high);
      direction = -1;
      low = bin;
    }
  }
  return { extremes, start, end: direction < 0 ? low : high };
}

/** A drift shows when it has moved the middle by this share of the swing. */
const VISIBLE_DRIFT = 0.3;

/** Legs count together while neither is more than this many times the other: a cool-down before the cycling is no cycle. */
const LIKE_LEGS = 3;

/**
 * Finds the cycle that is going on now, or null. One whole cycle must have been seen (two like legs, a leg that is cut off at
 * either end counting as its share), it must not have ended, and the value must not have left its band: a coolant that runs
 * away is no longer cycling, even though it did a minute ago.
 * @param threshold least turn that counts, °C
 * @param level value now, °C
 * @param sdFloor as in `fitLine`
 */
export function findCycle(
  bins: readonly Bin[],
  threshold: number,
  level: number,
  sdFloor: number,
): ChillerCycle | null {
  const turning = turningPoints(bins, threshold);
  if (turning === null) return null;
  const { extremes, start, end } = turning;
  const swing = legBetween(extremes.at(-2), extremes.at(-1));
  if (swing === null) return null;

  let from = extremes.length - 2;
  while (from > 0 && alike(legBetween(extremes[from - 1], extremes[from]), swing)) from -= 1;
  const counted = extremes.slice(from);
  const [oldest] = counted;
  const newest = counted.at(-1);
  if (oldest === undefined || newest === undefined) return null;

  const cutOff = (leg: number | null) => Math.min(1, (leg ?? 0) / swing);
  const legs =
    counted.length -
    1 +
    (from === 0 ? cutOff(legBetween(start, oldest)) : 0) +
    cutOff(legBetween(newest, end));
  if (legs < 2) return null;

  const periodMin = periodOf(counted, newest);
  if (-newest.t > periodMin) return null;
  const low = Math.min(...counted.map((extreme) => extreme.value));
  const high = Math.max(...counted.map((extreme) => extreme.value));
  const drifting = drift(counted, swing, sdFloor);
  const top = Math.max(high, drifting.middle + drifting.above);
  const bottom = Math.min(low, drifting.middle + drifting.below);
  const leeway = Math.max(0.1, 0.2 * swing);
  if (level > top + leeway || level < bottom - leeway) return null;

  return { low, high, periodMin, ...drifting };
}

/**
 * Drift of the middles between each peak and the trough beside it. A line through the readings themselves would depend on
 * the phase in which the window cuts the first and the last cycle.
 */
function drift(
  extremes: readonly Bin[],
  swing: number,
  sdFloor: number,
): Pick<ChillerCycle, "slope" | "slopeSe" | "drifts" | "middle" | "above" | "below"> {
  const middles = extremes.slice(1).map((extreme, i) => {
    const before = extremes[i] ?? extreme;
    return { t: (before.t + extreme.t) / 2, value: (before.value + extreme.value) / 2 };
  });
  const spanMin = (extremes.at(-1)?.t ?? 0) - (extremes[0]?.t ?? 0);
  const line = fitLine(middles, sdFloor);
  const slope = line?.slope ?? 0;
  const slopeSe = line?.slopeSe ?? swing / spanMin;
  const middle = line?.atNow ?? middles.reduce((sum, each) => sum + each.value, 0) / middles.length;
  const fromMiddle = extremes.map(({ t, value }) => value - middle - slope * t);
  const beyondChance = Math.abs(slope) > intervalFactor(line?.dof ?? 1) * slopeSe;
  return {
    slope,
    slopeSe,
    drifts: beyondChance && Math.abs(slope) * spanMin > VISIBLE_DRIFT * swing,
    middle,
    above: Math.max(0, ...fromMiddle),
    below: Math.min(0, ...fromMiddle),
  };
}

/** Mean period, over whole cycles where there is one: the rise may take four times as long as the fall. */
function periodOf(extremes: readonly Bin[], newest: Bin): number {
  const legs = extremes.length - 1;
  const from = legs > 1 ? extremes[legs % 2] : extremes[0];
  return (newest.t - (from?.t ?? newest.t)) / (legs > 1 ? Math.floor(legs / 2) : legs / 2);
}

function legBetween(a: Bin | undefined, b: Bin | undefined): number | null {
  return a === undefined || b === undefined ? null : Math.abs(b.value - a.value);
}

function alike(leg: number | null, swing: number): boolean {
  return leg !== null && leg <= LIKE_LEGS * swing && swing <= LIKE_LEGS * leg;
}
