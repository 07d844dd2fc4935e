import { BINS_A_MINUTE } from "./coolant-bins.js";

/** What a moment is known by: level, change over 90 s and over 6 min, °C; share of laser over 2 min and over 6 min. */
export type Features = readonly [number, number, number, number, number];

export interface PastSeries {
  /** °C a bin; null where nothing was measured. */
  readonly values: readonly (number | null)[];
  readonly features: readonly (Features | null)[];
}

/** A moment of the past like this one, and what followed. */
export interface Alike {
  /** All weights together are 1. */
  readonly weight: number;
  /** From then to the end of the time asked for, °C; and the least and the most of all between. */
  readonly change: number;
  readonly least: number;
  readonly most: number;
}

/** Differences smaller than these tell nothing apart: noise of a probe, and jobs that are never quite alike. */
const LEAST_SCALE: Features = [0.1, 0.05, 0.1, 0.1, 0.1];
/** Level is the mean of so many bins; the change over 90 s is that of the level against the bin nine before. */
const LEVEL_BINS = 3;
const SHORT_BINS = 9;
const LONG_BINS = 6 * BINS_A_MINUTE;
const SHORT_DUTY_BINS = 2 * BINS_A_MINUTE;
/** Moments are looked at so far apart, half a minute. */
const EVERY = 3;
/** So many moments must there be to look at, and so many are taken. */
const LEAST_MOMENTS = 20;
const TAKEN = 12;
/** Weights fall off with the square of the distance by this much. */
const REACH = 0.3;

/** Of the newest bin; null where too little of the last six minutes is known. */
export function featuresAt(values: readonly (number | null)[], duties: readonly number[]): Features | null {
  const n = values.length;
  const before = values[n - SHORT_BINS];
  const longBefore = values[n - LONG_BINS];
  if (before == null || longBefore == null || values[n - 1] == null) return null;
  let level = 0;
  for (let i = n - LEVEL_BINS; i < n; i += 1) {
    const value = values[i];
    if (value == null) return null;
    level += value / LEVEL_BINS;
  }
  return [
    level,
    level - before,
    level - longBefore,
    meanOfLast(duties, SHORT_DUTY_BINS),
    meanOfLast(duties, LONG_BINS),
  ];
}

/**
 * The moments of the past most like the newest one whose following `ahead` bins are known.
 * @returns null where there are too few to look at; `nearest` is the distance of the nearest, in standard deviations of the features
 */
export function alikeMoments(
  { values, features }: PastSeries,
  ahead: number,
): { readonly moments: readonly Alike[]; readonly nearest: number } | null {
  const now = features.length - 1;
  const here = features[now];
  if (here == null) return null;
  const scale = scalesOf(features);
  const found: { at: number; distance: number }[] = [];
  for (let at = now - ahead; at >= 0; at -= EVERY) {
    const there = features[at];
    if (there == null || values[at + ahead] == null) continue;
    let distance = 0;
    for (let k = 0; k < here.length; k += 1) {
      distance += (((there[k] ?? 0) - (here[k] ?? 0)) / (scale[k] ?? 1)) ** 2;
    }
    found.push({ at, distance });
  }
  if (found.length < LEAST_MOMENTS) return null;
  found.sort((a, b) => a.distance - b.distance);
  const taken = found.slice(0, TAKEN);
  const weights = taken.map(({ distance }) => Math.exp(-distance / (2 * REACH)) + 1e-6);
  const all = weights.reduce((sum, weight) => sum + weight, 0);
  const moments = taken.map(({ at }, i) => ({
    weight: (weights[i] ?? 0) / all,
    ...followed(values, at, ahead),
  }));
  return { moments, nearest: Math.sqrt(taken[0]?.distance ?? Number.POSITIVE_INFINITY) };
}

function followed(values: readonly (number | null)[], at: number, ahead: number) {
  const from = values[at] ?? 0;
  let [least, most] = [0, 0];
  for (let i = at + 1; i <= at + ahead; i += 1) {
    const value = values[i];
    if (value == null) continue;
    least = Math.min(least, value - from);
    most = Math.max(most, value - from);
  }
  return { change: (values[at + ahead] ?? from) - from, least, most };
}

/** The standard deviation of each feature over the past, or its least scale. */
function scalesOf(features: readonly (Features | null)[]): readonly number[] {
  return LEAST_SCALE.map((least, k) => {
    let [n, sum, squares] = [0, 0, 0];
    for (let at = features.length - 1; at >= 0; at -= EVERY) {
      const value = features[at]?.[k];
      if (value === undefined) continue;
      n += 1;
      sum += value;
      squares += value * value;
    }
    return Math.max(least, Math.sqrt(Math.max(0, squares / n - (sum / n) ** 2)));
  });
}

function meanOfLast(values: readonly number[], count: number): number {
  let sum = 0;
  for (let i = values.length - count; i < values.length; i += 1) sum += (values[i] ?? 0) / count;
  return sum;
}
