import { beganAt, type CusumChart, cusum, usualCusum } from "../cusum.js";
import { type EwmaChart, type EwmaPoint, ewma } from "../ewma.js";
import { mean } from "../moments.js";
import { spreadOfMovingRanges } from "../moving-range.js";
import type { Session } from "./drift-sessions.js";

/** Two charts over the speeds that still cut, in their logarithm. */
export interface DriftCharts {
  /** So many first sessions make the level. */
  readonly baseline: number;
  /** Their mean. */
  readonly level: number;
  /** Standard deviation of a session about the level. */
  readonly sigma: number;
  /** Of the weighted mean, for each session after the baseline. `signals`: either chart does. */
  readonly points: readonly EwmaPoint[];
  /** Where the change began and what it came to; null where no chart signals. */
  readonly change: DriftChange | null;
}

export interface DriftChange {
  /**
   * Places among the sessions: the first since the change, which is where its sum last stood at 0 before a chart signalled; and the
   * last before it was back: where its sum began to fall, if that has fallen as far since as is usual for a signal; else the last there is.
   */
  readonly from: number;
  readonly to: number;
  readonly way: "up" | "down";
}

export const LEAST_BASELINE = 5;
const MOST_BASELINE = 20;
/** What the newest session counts: from 0.2 to 0.3 are usual (NIST/SEMATECH e-Handbook, 6.3.2.4; from memory), less for small changes. */
const WEIGHT = 0.2;

/**
 * How many standard deviations off the weighted mean signals, and at how many the cumulated sums do, for baselines of 5 to 20 sessions:
 * wider for few, for level and spread are but estimates. Each is what 49 of 50 charts over 50 sessions that are alike and normal
 * never reach: simulated, 120,000 charts each. `npm run bench -- review` shows how often either signals.
 */
const REACHES = [
  6.59, 5.83, 5.45, 5.19, 4.94, 4.77, 4.63, 4.55, 4.43, 4.36, 4.29, 4.23, 4.18, 4.14, 4.11, 4.08,
] as const;
const SUMS = [
  51.4, 37.1, 29.6, 25, 20.9, 18.5, 16.3, 15.2, 13.9, 12.8, 12.2, 11.5, 11, 10.6, 10.3, 10,
] as const;
/** Standard deviations at which a sum usually signals: D. C. Montgomery, Introduction to Statistical Quality Control (from memory). */
const USUAL_SUM = 5;
/** No ladder tells speeds finer than this, in the logarithm: 1 % (common practice, no source). */
const FINEST = 0.01;

/**
 * The charts against a baseline of the first half, 5 sessions at least and 20 at most: as it was when one first signalled, where one has
 * since there were enough of them, for a change must not become part of the level that it is held against.
 * @returns null where there is no session beyond the least baseline
 */
export function driftCharts(sessions: readonly Pick<Session, "logSpeed" | "gap">[]): DriftCharts | null {
  const most = Math.min(MOST_BASELINE, Math.max(LEAST_BASELINE, Math.floor(sessions.length / 2)));
  for (let baseline = LEAST_BASELINE; baseline < most; baseline++) {
    // The last time that it was asked with so few.
    const then = chartsOf(sessions.slice(0, 2 * baseline + 1), baseline);
    if (then !== null && then.change !== null) return chartsOf(sessions, baseline);
  }
  return chartsOf(sessions, most);
}

function chartsOf(
  sessions: readonly Pick<Session, "logSpeed" | "gap">[],
  baseline: number,
): DriftCharts | null {
  const [reach, limit] = [REACHES[baseline - LEAST_BASELINE], SUMS[baseline - LEAST_BASELINE]];
  if (sessions.length <= baseline || reach === undefined || limit === undefined) return null;
  const first = sessions.slice(0, baseline);
  const level = mean(first.map(({ logSpeed }) => logSpeed));
  const sigma = Math.max(
    spreadOfMovingRanges(first.map(({ logSpeed }) => logSpeed)) ?? 0,
    // A value anywhere between two tried speeds, as likely here as there.
    Math.sqrt(mean(first.map(({ gap }) => gap ** 2 / 12))),
    FINEST,
  );
  // Less the level, so that what a unit adds to every logarithm is gone before anything is compared.
  const values = sessions.slice(baseline).map(({ logSpeed }) => logSpeed - level);
  const means = ewma(values, {
    ...{ target: 0, sigma, reach, weight: WEIGHT },
    targetError: sigma / Math.sqrt(baseline),
  });
  // The level may be off by as much as its error, and a sum would take up that at every session.
  const usual = usualCusum(0, sigma, limit);
  const sums = cusum(values, {
    ...usual,
    allowance: usual.allowance + sigma / Math.sqrt(baseline),
  });
  const change = changeOf(means, sums, sigma);
  const points = means.points.map((point, i) => ({
    ...{ mean: point.mean + level, lower: point.lower + level, upper: point.upper + level },
    // A sum falls slowly: it still stands high long after all is as it was.
    signals: point.signals || ((sums.points[i]?.signals ?? false) && i <= (change?.to ?? -1)),
  }));
  const placed = change && { ...change, from: baseline + change.from, to: baseline + change.to };
  return { baseline, level, sigma, points, change: placed };
}

/** In places among the values. */
function changeOf(means: EwmaChart, sums: CusumChart, sigma: number): DriftChange | null {
  const signals = [means.firstSignal, sums.firstSignal].filter((place) => place !== null);
  const first = Math.min(...signals);
  const [mean, sum] = [means.points[first], sums.points[first]];
  if (mean === undefined || sum === undefined) return null;
  const way = sum.signals ? (sum.high > sum.low ? "up" : "down") : mean.mean > 0 ? "up" : "down";
  const side = way === "up" ? "high" : "low";
  const from = beganAt(sums.points, first, side);
  const heights = sums.points.map((each) => each[side]);
  let peak = first;
  for (let i = first; i < heights.length; i++)
    if ((heights[i] as number) > (heights[peak] as number)) peak = i;
  const isBack = !isOff(means.points.at(-1) as EwmaPoint, way) && fallOf(heights, peak) > USUAL_SUM * sigma;
  return { from, to: isBack ? peak : heights.length - 1, way };
}

/** How far a sum has fallen since. */
function fallOf(heights: readonly number[], peak: number): number {
  return (heights[peak] as number) - (heights.at(-1) as number);
}

/** Nearer to the limit than to the level, on that side. */
function isOff({ mean, lower, upper }: EwmaPoint, way: DriftChange["way"]): boolean {
  return way === "up" ? mean > upper / 2 : mean < lower / 2;
}
