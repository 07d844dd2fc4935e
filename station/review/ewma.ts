/** A chart of exponentially weighted means over values in the order of time. */
export interface EwmaChart {
  /** After each value. */
  readonly points: readonly EwmaPoint[];
  /** The first point beyond its limits; null where there is none. */
  readonly firstSignal: number | null;
  readonly n: number;
  readonly method: string;
}

export interface EwmaPoint {
  readonly mean: number;
  readonly lower: number;
  readonly upper: number;
  readonly signals: boolean;
}

export interface EwmaOptions {
  /** What the values are on target. */
  readonly target: number;
  /** Standard deviation of a value on target, above 0: from many before, never from the values on the chart alone. */
  readonly sigma: number;
  /** What the newest value counts: above 0, up to 1. */
  readonly weight?: number;
  /** How many standard deviations of the weighted mean its limits are off. */
  readonly reach?: number;
  /** Standard error of the target, where it was estimated: the limits are wider by it. 0 where it is known. */
  readonly targetError?: number;
}

/** Usual for small shifts: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 (from memory). */
const WEIGHT = 0.3;
const REACH = 3;

/**
 * S. W. Roberts, "Control chart tests based on geometric moving averages", Technometrics 1, 1959, with the limits that widen over the
 * first values (both from memory): asymptotic ones alone would leave the first weeks unwatched.
 * @throws RangeError for values or options that are not possible
 */
export function ewma(values: readonly number[], options: EwmaOptions): EwmaChart {
  const { target, sigma, weight = WEIGHT, reach = REACH, targetError = 0 } = options;
  if (!values.every(Number.isFinite) || !Number.isFinite(target))
    throw new RangeError("The values and the target of a chart are numbers.");
  if (!(sigma > 0) || !(weight > 0 && weight <= 1) || !(reach > 0))
    throw new RangeError("The spread and the reach are above 0, and the weight up to 1.");
  if (!(targetError >= 0 && Number.isFinite(targetError)))
    throw new RangeError("The error of the target is 0 or more.");
  let mean = target;
  const points = values.map((value, i): EwmaPoint => {
    mean = weight * value + (1 - weight) * mean;
    const share = (weight / (2 - weight)) * (1 - (1 - weight) ** (2 * (i + 1)));
    const off = reach * Math.sqrt(sigma ** 2 * share + targetError ** 2);
    return { mean, lower: target - off, upper: target + off, signals: Math.abs(mean - target) > off };
  });
  const first = points.findIndex(({ signals }) => signals);
  return {
    points,
    firstSignal: first < 0 ? null : first,
    n: values.length,
    method: `exponentially weighted mean, the newest counting ${weight}, limits at ${reach} standard deviations`,
  };
}
