/** What came of all trials at one setting. */
export interface Tally {
  readonly x: number;
  readonly hits: number;
  readonly misses: number;
}

/** logit P(hit) = intercept + slope · x. */
export interface LogisticLine {
  readonly intercept: number;
  readonly slope: number;
  readonly penalised: number;
}

const STEPS = 200;
const CLOSE = 1e-10;
/** In units of the settings' own spread: a longer stride throws the first ones far off where the outcomes are separated. */
const STRIDE = 3;

/** Trials at the same setting in one row each, in rising order of x. */
export function tally(trials: readonly { readonly x: number; readonly hit: boolean }[]): Tally[] {
  const rows = new Map<number, { x: number; hits: number; misses: number }>();
  for (const { x, hit } of trials) {
    const row = rows.get(x) ?? { x, hits: 0, misses: 0 };
    if (hit) row.hits += 1;
    else row.misses += 1;
    rows.set(x, row);
  }
  return [...rows.values()].sort((a, b) => a.x - b.x);
}

export function logLikelihood(tallies: readonly Tally[], intercept: number, slope: number): number {
  let sum = 0;
  for (const { x, hits, misses } of tallies) {
    const eta = intercept + slope * x;
    const log1p = Math.log1p(Math.exp(-Math.abs(eta)));
    sum -= hits * (log1p + Math.max(0, -eta)) + misses * (log1p + Math.max(0, eta));
  }
  return sum;
}

/**
 * The log-likelihood of a line with half the logarithm of the information's determinant added to it (D. Firth, "Bias reduction of
 * maximum likelihood estimates", Biometrika 80, 1993, pp. 27 to 38; from memory).
 * @returns minus infinity where the information has no determinant: a single setting, or a slope beyond all bounds
 */
export function penalisedLikelihood(tallies: readonly Tally[], intercept: number, slope: number): number {
  let weight = 0;
  let mean = 0;
  let spread = 0;
  for (const { x, hits, misses } of tallies) {
    const tail = Math.exp(-Math.abs(intercept + slope * x));
    const w = ((hits + misses) * tail) / (1 + tail) ** 2;
    if (w === 0) continue;
    // A running weighted variance, which does not cancel (D. H. D. West, 1979; from memory).
    const off = x - mean;
    weight += w;
    mean += (off * w) / weight;
    spread += w * off * (x - mean);
  }
  return logLikelihood(tallies, intercept, slope) + Math.log(weight * spread) / 2;
}

/**
 * Firth's penalised logistic regression on one setting. It has an answer where the outcomes are separated, as after a few cuts
 * they mostly are; G. Heinze and M. Schemper, "A solution to the problem of separation in logistic regression", Statistics in
 * Medicine 21, 2002, pp. 2409 to 2419 (from memory).
 * @returns null where there are fewer than two settings
 */
export function fitFirthLine(tallies: readonly Tally[]): LogisticLine | null {
  if (tallies.length < 2) return null;
  const n = tallies.reduce((sum, row) => sum + row.hits + row.misses, 0);
  const centre = tallies.reduce((sum, row) => sum + row.x * (row.hits + row.misses), 0) / n;
  const scale = Math.sqrt(
    tallies.reduce((sum, row) => sum + (row.x - centre) ** 2 * (row.hits + row.misses), 0) / n,
  );
  if (!(scale > 0)) return null;
  const rows = tallies.map((row) => ({ ...row, x: (row.x - centre) / scale }));
  let at = { a: 0, b: 0 };
  let value = penalisedLikelihood(rows, 0, 0);
  for (let step = 0; step < STEPS; step++) {
    const { da, db } = scoreStep(rows, at.a, at.b);
    let part = Math.min(1, STRIDE / Math.max(Math.abs(da), Math.abs(db)));
    let next = value;
    let to = at;
    for (let halved = 0; halved < 40; halved++, part /= 2) {
      to = { a: at.a + part * da, b: at.b + part * db };
      next = penalisedLikelihood(rows, to.a, to.b);
      if (next >= value) break;
    }
    if (!(next >= value)) break;
    const moved = Math.max(Math.abs(to.a - at.a), Math.abs(to.b - at.b));
    at = to;
    value = next;
    if (moved < CLOSE) break;
  }
  const slope = at.b / scale;
  // The determinant was taken with x in units of its spread.
  return { intercept: at.a - slope * centre, slope, penalised: value + Math.log(scale) };
}

/** One step of scoring with Firth's modified score: each trial counts its leverage's half as a hit and half as a miss. */
function scoreStep(rows: readonly Tally[], a: number, b: number): { da: number; db: number } {
  const each = rows.map(({ x, hits, misses }) => {
    const p = 1 / (1 + Math.exp(-(a + b * x)));
    return { x, hits, n: hits + misses, p, w: (hits + misses) * p * (1 - p) };
  });
  const sum = (of: (row: (typeof each)[number]) => number) => each.reduce((total, row) => total + of(row), 0);
  const s0 = sum(({ w }) => w);
  const s1 = sum(({ w, x }) => w * x);
  const s2 = sum(({ w, x }) => w * x * x);
  const det = s0 * s2 - s1 * s1;
  if (!(det > 0)) return { da: 0, db: 0 };
  let u0 = 0;
  let u1 = 0;
  for (const { x, hits, n, p, w } of each) {
    const leverage = (w * (s2 - 2 * s1 * x + s0 * x * x)) / det;
    const score = hits - n * p + leverage * (0.5 - p);
    u0 += score;
    u1 += score * x;
  }
  return { da: (s2 * u0 - s1 * u1) / det, db: (s0 * u1 - s1 * u0) / det };
}
