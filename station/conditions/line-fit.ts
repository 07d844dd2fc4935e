/** One value in time. */
export interface TrendPoint {
  /** Milliseconds, monotonic. */
  readonly mono: number;
  readonly value: number;
}

/** Mean of the readings that fell into one stretch of a window. */
export interface Bin {
  /** Minutes from now, ≤ 0. */
  readonly t: number;
  readonly value: number;
}

export interface Binned {
  readonly bins: readonly Bin[];
  /** Readings in the window. */
  readonly n: number;
  /** Minutes between the first and the last reading. */
  readonly spanMin: number;
  /** Standard deviation of the bin means that the noise of single readings alone explains. */
  readonly binNoise: number;
}

const MS_PER_MIN = 60_000;
const BINS = 60;

/**
 * Means of the readings in `windowMs` before `nowMono`, in at most 60 stretches of equal length. Averaging first makes the
 * cost of a fit the same at any rate of reading, and keeps the steps of a coarse sensor out of the residuals.
 * @param points in rising order of `mono`; those after `nowMono` are left out
 */
export function binReadings(points: readonly TrendPoint[], nowMono: number, windowMs: number): Binned {
  const from = nowMono - windowMs;
  let index = points.length;
  while (index > 0 && (points[index - 1]?.mono ?? from) > from) index -= 1;

  const bins: Bin[] = [];
  let slot = -1;
  let inBin = 0;
  let sumT = 0;
  let sumValue = 0;
  let n = 0;
  let squaredBends = 0;
  let first = 0;
  let before: TrendPoint | null = null;
  let beforeThat: TrendPoint | null = null;
  for (; index < points.length; index += 1) {
    const point = points[index];
    if (point === undefined || point.mono > nowMono) break;
    const at = Math.ceil(((point.mono - from) * BINS) / windowMs);
    if (at !== slot && inBin > 0) {
      bins.push({ t: sumT / inBin, value: sumValue / inBin });
      inBin = sumT = sumValue = 0;
    }
    slot = at;
    inBin += 1;
    sumT += (point.mono - nowMono) / MS_PER_MIN;
    sumValue += point.value;
    if (before === null) first = point.mono;
    else if (beforeThat !== null) squaredBends += (point.value - 2 * before.value + beforeThat.value) ** 2;
    beforeThat = before;
    before = point;
    n += 1;
  }
  if (inBin > 0) bins.push({ t: sumT / inBin, value: sumValue / inBin });

  const spanMin = before === null ? 0 : (before.mono - first) / MS_PER_MIN;
  // Second differences, because they do not see a slope; of independent noise they have 1 + 4 + 1 times its variance.
  const readingVariance = n > 2 ? squaredBends / (n - 2) / 6 : 0;
  return { bins, n, spanMin, binNoise: Math.sqrt((readingVariance * bins.length) / Math.max(1, n)) };
}

export interface LineFit {
  /** Per minute. */
  readonly slope: number;
  readonly slopeSe: number;
  /** Degrees of freedom that `slopeSe` rests on, ≥ 1; not whole where residuals hang together. */
  readonly dof: number;
  /** Value of the line at t = 0, now. */
  readonly atNow: number;
  /** Root mean square of the residuals. */
  readonly residualSd: number;
  /** Largest residual above the line (≥ 0) and below it (≤ 0). */
  readonly above: number;
  readonly below: number;
}

/**
 * Straight line by ordinary least squares, with a standard error that allows for residuals that hang together.
 *
 * The number of bins n is replaced by the effective number n(1−r)/(1+r), r being the lag-1 autocorrelation of the residuals
 * (negative r taken as 0): Santer et al. 2000, J. Geophys. Res. 105 (D6), 7337-7356, eqs 4 to 6 (from memory). Where that
 * leaves fewer than one degree of freedom, one is kept, and the t quantile does the rest.
 * @param bins at least three, not all at one time
 * @param sdFloor least standard deviation the residuals are taken to have: a sensor that reports in steps hides what is
 * smaller, and a run of equal values is no proof of a slope of exactly zero
 * @returns null where no line can be drawn
 */
export function fitLine(bins: readonly Bin[], sdFloor: number): LineFit | null {
  const n = bins.length;
  if (n < 3) return null;
  let meanT = 0;
  let meanValue = 0;
  for (const bin of bins) {
    meanT += bin.t / n;
    meanValue += bin.value / n;
  }
  let sxx = 0;
  let sxy = 0;
  for (const bin of bins) {
    sxx += (bin.t - meanT) ** 2;
    sxy += (bin.t - meanT) * (bin.value - meanValue);
  }
  if (sxx === 0) return null;
  const slope = sxy / sxx;

  let sse = 0;
  let lagged = 0;
  let before = 0;
  let above = 0;
  let below = 0;
  for (const bin of bins) {
    const residual = bin.value - meanValue - slope * (bin.t - meanT);
    sse += residual * residual;
    lagged += residual * before;
    before = residual;
    above = Math.max(above, residual);
    below = Math.min(below, residual);
  }
  const r = sse > 0 ? Math.max(0, lagged / sse) : 0;
  const effective = (n * (1 - r)) / (1 + r);
  const dof = Math.max(1, effective - 2);
  const variance = Math.max(sse / dof, sdFloor * sdFloor);
  return {
    slope,
    slopeSe: Math.sqrt(variance / sxx),
    dof,
    atNow: meanValue - slope * meanT,
    residualSd: Math.sqrt(sse / n),
    above,
    below,
  };
}

const T_975 = [12.71, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23] as const;

/**
 * The factor that makes a two-sided 95 % interval of a standard error: Student's t at 0.975, from the usual table (from
 * memory) for the next lower whole number up to ten, and 1.96 + 2.4/dof above, which is within 0.03.
 * @param dof ≥ 1
 */
export function intervalFactor(dof: number): number {
  return T_975[Math.floor(dof) - 1] ?? 1.96 + 2.4 / dof;
}
