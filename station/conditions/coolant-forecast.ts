import { BINS_A_MINUTE, type CoolantBin, MOST_BINS } from "./coolant-bins.js";
import { type Alike, alikeMoments, type Features, featuresAt, type PastSeries } from "./coolant-likeness.js";
import type { CoolantRange } from "./coolant-trend.js";

/**
 * Where the coolant will be, from what it did before in moments like this one.
 *
 * A small chiller makes a saw-tooth, jobs come and go, and a line through the last minutes leads astray within ten. So the past
 * three hours are searched for moments like this one (method of analogues, E. N. Lorenz, J. Atmos. Sci. 26 (1969) 636-646, from
 * memory), and what followed them is what may follow now. Where nothing like it was seen, the level is carried on along a slope that
 * dies away (damped trend, E. S. Gardner and E. McKenzie, Management Science 31 (1985) 1237-1246, from memory), with limits that
 * are wide. The one passes into the other by the distance of the nearest moment.
 *
 * The limits are scaled by how far off its own forecasts of the last hours were, in units of what they then held to be their
 * spread (split conformal prediction with a normalised score, from memory), so that nine in ten of them should hold.
 */
export interface CoolantForecast {
  readonly minutes: number;
  /** °C. */
  readonly value: number;
  /** Nine in ten such limits should hold what comes, °C. */
  readonly low: number;
  readonly high: number;
  /** How much of it rests on moments like this one, 0 to 1; the rest on the slope alone. */
  readonly likeness: number;
}

export interface CoolantForecaster {
  push(bin: CoolantBin): void;
  /** In so many minutes, 1 to `LONGEST_MIN`; null where the coolant is not known now, or for too short a time. */
  at(minutes: number): CoolantForecast | null;
  /** Probability that the coolant is outside `range` at some time within so many minutes, 0 to 1; 1 where it is outside now. */
  leaving(minutes: number, range: CoolantRange): number | null;
  /** Minutes of the coolant that are known of the past three hours. */
  knownMin(): number;
}

export const LONGEST_MIN = 60;
/** What limits promise. */
export const PROMISED = 0.9;

/** Its own forecasts are held against what came at these distances, minutes. */
const LEDGER_MIN = [5, 15, 30] as const;
/** A forecast is entered every so many bins. */
const LEDGER_EVERY = 2 * BINS_A_MINUTE;
/** The scale is its own from so many forecasts on. */
const LEAST_LEDGER = 20;
/** Normal deviate of limits that hold nine in ten, before there is a scale of its own; and how far a scale may go. */
const USUAL_SCALE = 1.645;
const SCALES = { least: 0.8, most: 4 } as const;

/** The slope dies away within this time, minutes. Chosen on the simulator (README.md beside this file). */
const DAMPING_MIN = 1;
/** The slope is that of this many bins. */
const SLOPE_BINS = 5 * BINS_A_MINUTE;
const LEAST_BINS = BINS_A_MINUTE;
/** Spread of a forecast by the slope alone, °C, and what it gains a minute: chosen on the simulator. */
const SLOPE_SD = { now: 0.2, aMinute: 0.06, ofTheDamped: 0.5 } as const;
/** Least spread of what followed moments like this one, °C: sensors and the middle of a bin. */
const LEAST_SD = 0.06;
/** Most of what comes lies much nearer than the spread, which is that of the few times when something went wrong. */
const LEAVING_SHARE = 0.4;
/**
 * Moments that are alike come in runs, and what followed the worst of them comes less often than their share says. The odds are
 * taken by this: chosen on the simulator.
 */
const ODDS = 0.45;
/** Nearer than this a moment is like this one, and beyond that it is not, in standard deviations of its features. */
const LIKE_WITHIN = 0.6;
const UNLIKE_BEYOND = 1.5;

interface Entered {
  readonly due: number;
  readonly value: number;
  readonly sd: number;
}

interface Raw {
  readonly value: number;
  readonly sd: number;
  readonly likeness: number;
  readonly alike: readonly Alike[];
}

export function createCoolantForecaster(): CoolantForecaster {
  const values: (number | null)[] = [];
  const duties: number[] = [];
  const features: (Features | null)[] = [];
  /** How many bins have gone out of the front. */
  let gone = 0;
  const entered = new Map<number, Entered[]>(LEDGER_MIN.map((minutes) => [minutes, []]));
  const scores = new Map<number, { at: number; score: number }[]>(LEDGER_MIN.map((minutes) => [minutes, []]));
  const past = (): PastSeries => ({ values, features });

  const raw = (minutes: number): Raw | null => {
    const line = recentLine(values);
    if (line === null) return null;
    const ahead = Math.round(minutes * BINS_A_MINUTE);
    const carried = line.last + line.slope * dampedMinutes(minutes);
    const undamped = line.slope * minutes - line.slope * dampedMinutes(minutes);
    const slopeSd = Math.hypot(SLOPE_SD.now + SLOPE_SD.aMinute * minutes, SLOPE_SD.ofTheDamped * undamped);
    const found = alikeMoments(past(), ahead);
    if (found === null) return { value: carried, sd: slopeSd, likeness: 0, alike: [] };
    const likeness = likenessOf(found.nearest);
    const changes = found.moments.map(({ weight, change }) => ({ weight, value: line.last + change }));
    const mean = changes.reduce((sum, each) => sum + each.weight * each.value, 0);
    const variance = changes.reduce((sum, each) => sum + each.weight * (each.value - mean) ** 2, 0);
    const effective = 1 / changes.reduce((sum, { weight }) => sum + weight ** 2, 0);
    const alikeVariance = LEAST_SD ** 2 + variance * (1 + 1 / Math.max(1, effective));
    const value = likeness * mean + (1 - likeness) * carried;
    return {
      value,
      sd: Math.sqrt(likeness * alikeVariance + (1 - likeness) * slopeSd ** 2),
      likeness,
      alike: found.moments,
    };
  };

  const enter = () => {
    const index = gone + values.length - 1;
    for (const minutes of LEDGER_MIN) {
      const waiting = entered.get(minutes) ?? [];
      const done = scores.get(minutes) ?? [];
      while (waiting[0] !== undefined && waiting[0].due <= index) {
        const { due, value, sd } = waiting.shift() as Entered;
        const came = values[due - gone] ?? null;
        if (due === index && came !== null) done.push({ at: index, score: Math.abs(came - value) / sd });
      }
      while (done[0] !== undefined && done[0].at < index - MOST_BINS) done.shift();
      if (index % LEDGER_EVERY !== 0) continue;
      const now = raw(minutes);
      if (now !== null) waiting.push({ due: index + minutes * BINS_A_MINUTE, value: now.value, sd: now.sd });
    }
  };

  const scaleFor = (minutes: number): number => {
    const nearest = LEDGER_MIN.reduce((best, each) =>
      Math.abs(each - minutes) < Math.abs(best - minutes) ? each : best,
    );
    const sorted = (scores.get(nearest) ?? []).map(({ score }) => score).sort((a, b) => a - b);
    if (sorted.length < LEAST_LEDGER) return 1.3 * USUAL_SCALE;
    const rank = Math.min(sorted.length, Math.ceil(PROMISED * (sorted.length + 1)));
    return Math.min(SCALES.most, Math.max(SCALES.least, sorted[rank - 1] ?? USUAL_SCALE));
  };

  return {
    push({ value, duty }) {
      values.push(value);
      duties.push(duty);
      features.push(featuresAt(values, duties));
      if (values.length > MOST_BINS) {
        for (const list of [values, duties, features]) list.shift();
        gone += 1;
      }
      enter();
    },
    at(minutes) {
      checkMinutes(minutes);
      const now = raw(minutes);
      if (now === null) return null;
      const reach = scaleFor(minutes) * now.sd;
      const { value, likeness } = now;
      return { minutes, value, low: value - reach, high: value + reach, likeness };
    },
    leaving(minutes, range) {
      checkMinutes(minutes);
      const now = raw(minutes);
      const line = recentLine(values);
      if (now === null || line === null) return null;
      if (line.last > range.high || line.last < range.low) return 1;
      const bySlope = beyond(
        [line.last, line.last + line.slope * dampedMinutes(minutes)],
        LEAVING_SHARE * (SLOPE_SD.now + SLOPE_SD.aMinute * minutes),
        range,
      );
      const byAlike = now.alike.reduce((sum, { weight, least, most }) => {
        return sum + weight * beyond([line.last + least, line.last + most], LEAST_SD, range);
      }, 0);
      const share = now.likeness * byAlike + (1 - now.likeness) * bySlope;
      return (ODDS * share) / (ODDS * share + 1 - share);
    },
    knownMin: () => values.filter((value) => value !== null).length / BINS_A_MINUTE,
  };
}

function checkMinutes(minutes: number): void {
  if (minutes >= 1 && minutes <= LONGEST_MIN) return;
  throw new RangeError(`a forecast looks 1 to ${LONGEST_MIN} minutes ahead, not ${minutes}`);
}

/** For how many minutes' worth of slope it goes on. */
function dampedMinutes(minutes: number): number {
  return DAMPING_MIN * (1 - Math.exp(-minutes / DAMPING_MIN));
}

function likenessOf(nearest: number): number {
  return Math.min(1, Math.max(0, (UNLIKE_BEYOND - nearest) / (UNLIKE_BEYOND - LIKE_WITHIN)));
}

/** Probability that either end of a path, known to within `sd`, lies beyond the range. */
function beyond(ends: readonly number[], sd: number, { low, high }: CoolantRange): number {
  const [least, most] = [Math.min(...ends), Math.max(...ends)];
  return Math.min(1, upTo((most - high) / sd) + upTo((low - least) / sd));
}

/** The normal distribution function, by the logistic approximation (within 0.01; common practice, from memory). */
function upTo(z: number): number {
  return 1 / (1 + Math.exp(-1.702 * z));
}

interface RecentLine {
  /** °C/min. */
  readonly slope: number;
  /** The newest bin, °C. */
  readonly last: number;
}

/** A least-squares line through the last five minutes; null where the coolant is not known now or for less than a minute. */
function recentLine(values: readonly (number | null)[]): RecentLine | null {
  const last = values.at(-1);
  if (last === undefined || last === null) return null;
  let n = 0;
  let [sx, sy, sxx, sxy] = [0, 0, 0, 0];
  for (let back = 0; back < Math.min(SLOPE_BINS, values.length); back += 1) {
    const value = values[values.length - 1 - back];
    if (value === null || value === undefined) continue;
    const x = -back / BINS_A_MINUTE;
    n += 1;
    sx += x;
    sy += value;
    sxx += x * x;
    sxy += x * value;
  }
  if (n < LEAST_BINS) return null;
  const slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  return { slope, last };
}
