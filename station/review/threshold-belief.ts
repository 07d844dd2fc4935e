import type { Tally } from "./firth-line.js";

/**
 * What the cuts so far leave to be believed of a threshold: P(hit at x) = 1 / (1 + exp((x − centre) / width)), falling with x.
 * All levels are natural logarithms, as of speeds in mm/s.
 */
export interface ThresholdBelief {
  /** Middles of equal cells of the centre, rising. */
  readonly centres: Float64Array;
  readonly widths: Float64Array;
  /** Of every width its centres, one row after the other; together 1. */
  readonly weights: Float64Array;
  /** Half of a cell. */
  readonly half: number;
}

/** Where the centre may lie, before anything was cut: anywhere between the two as likely as anywhere else. */
export interface CentreRange {
  readonly from: number;
  readonly to: number;
}

const CELLS = 120;
const ROUNDS = 6;
/** What is left out at either end of the centre when the cells are made finer. */
const TAIL = 1e-7;
const LEAST_WIDTH = 0.004;
const MOST_WIDTH = 0.3;
const WIDTHS = Float64Array.from(
  { length: 12 },
  (_, i) => LEAST_WIDTH * (MOST_WIDTH / LEAST_WIDTH) ** (i / 11),
);
/**
 * How steep cut-through is before anything was cut: a lognormal about this width, where the speed that is through 19 times in 20
 * and the one that is through once in 20 differ by a third, with a factor of e for one standard deviation. An assumption, no
 * source: it holds anything from a step to twice the speed and more.
 */
export const ASSUMED_WIDTH = 0.05;
const WIDTH_PRIOR = { middle: Math.log(ASSUMED_WIDTH), spread: 1 };

/**
 * Bayes' rule on a grid, made finer three or four times where the belief lies, so that narrow ones are as smooth as wide ones.
 * @throws RangeError where the range is not one
 */
export function believe(tallies: readonly Tally[], range: CentreRange): ThresholdBelief {
  if (!(range.to > range.from && Number.isFinite(range.to - range.from))) {
    throw new RangeError("The range of the threshold ends above where it begins.");
  }
  let belief = onGrid(tallies, range);
  for (let round = 1; round < ROUNDS; round++) {
    const inner = innerRange(belief);
    const { centres, half } = belief;
    const width = CELLS * 2 * half;
    if (inner.to - inner.from > 0.7 * width) break;
    const start = centres[0] as number;
    belief = onGrid(tallies, {
      from: Math.max(inner.from, start - half),
      to: Math.min(inner.to, start - half + width),
    });
  }
  return belief;
}

function onGrid(tallies: readonly Tally[], { from, to }: CentreRange): ThresholdBelief {
  const half = (to - from) / CELLS / 2;
  const centres = Float64Array.from({ length: CELLS }, (_, i) => from + (2 * i + 1) * half);
  const weights = new Float64Array(WIDTHS.length * CELLS);
  let most = Number.NEGATIVE_INFINITY;
  for (const [w, width] of WIDTHS.entries()) {
    const prior = -(((Math.log(width) - WIDTH_PRIOR.middle) / WIDTH_PRIOR.spread) ** 2) / 2;
    for (let c = 0; c < CELLS; c++) {
      let log = prior;
      for (const { x, hits, misses } of tallies) {
        const over = (x - (centres[c] as number)) / width;
        const log1p = Math.log1p(Math.exp(-Math.abs(over)));
        log -= hits * (log1p + Math.max(0, over)) + misses * (log1p + Math.max(0, -over));
      }
      weights[w * CELLS + c] = log;
      if (log > most) most = log;
    }
  }
  let sum = 0;
  for (let i = 0; i < weights.length; i++) sum += weights[i] = Math.exp((weights[i] as number) - most);
  for (let i = 0; i < weights.length; i++) weights[i] = (weights[i] as number) / sum;
  return { centres, widths: WIDTHS, weights, half };
}

/** Where all but the tails of the centre lies, and a cell more on either side. */
function innerRange({ centres, weights, half }: ThresholdBelief): CentreRange {
  const of = (c: number) => {
    let sum = 0;
    for (let i = c; i < weights.length; i += CELLS) sum += weights[i] as number;
    return sum;
  };
  let first = 0;
  for (let below = of(0); below < TAIL; below += of(first)) first += 1;
  let last = CELLS - 1;
  for (let above = of(last); above < TAIL; above += of(last)) last -= 1;
  return { from: (centres[first] as number) - 3 * half, to: (centres[last] as number) + 3 * half };
}

/** The belief that the level at which P(hit) has this logit lies below `x`: 0 to 1. The logit is 0 for the centre. */
export function believedBelow(
  { centres, widths, weights, half }: ThresholdBelief,
  x: number,
  logit = 0,
): number {
  const start = (centres[0] as number) - half;
  let sum = 0;
  for (const [w, width] of widths.entries()) {
    // A hit is likelier below the centre.
    const cells = (x + width * logit - start) / (2 * half);
    const whole = Math.min(CELLS, Math.max(0, Math.floor(cells)));
    for (let c = 0; c < whole; c++) sum += weights[w * CELLS + c] as number;
    if (cells > 0 && whole < CELLS) sum += (cells - whole) * (weights[w * CELLS + whole] as number);
  }
  return sum;
}

/** The level of which this share of the belief lies below. */
export function believedQuantile(belief: ThresholdBelief, share: number, logit = 0): number {
  const { centres, widths, half } = belief;
  const reach = Math.abs(logit) * (widths.at(-1) as number) + half;
  let low = (centres[0] as number) - reach;
  let high = (centres.at(-1) as number) + reach;
  for (let i = 0; i < 50 && high - low > 1e-9; i++) {
    const middle = (low + high) / 2;
    if (believedBelow(belief, middle, logit) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/**
 * What is expected of the centre's variance after one more cut at `x`: the less, the more it teaches.
 * @returns in squared units of the level
 */
export function expectedVariance({ centres, widths, weights }: ThresholdBelief, x: number): number {
  // Of what is believed if the cut is a hit, and of all: its weight, and the first two moments.
  let [h0, h1, h2, a1, a2] = [0, 0, 0, 0, 0];
  // From the first centre, so that squares do not cancel.
  const origin = centres[0] as number;
  for (const [w, width] of widths.entries()) {
    for (let c = 0; c < CELLS; c++) {
      const weight = weights[w * CELLS + c] as number;
      if (weight < 1e-12) continue;
      const centre = (centres[c] as number) - origin;
      const hit = weight / (1 + Math.exp((x - origin - centre) / width));
      h0 += hit;
      h1 += hit * centre;
      h2 += hit * centre * centre;
      a1 += weight * centre;
      a2 += weight * centre * centre;
    }
  }
  const of = (m0: number, m1: number, m2: number) => (m0 > 0 ? m2 - m1 ** 2 / m0 : 0);
  return of(h0, h1, h2) + of(1 - h0, a1 - h1, a2 - h2);
}
