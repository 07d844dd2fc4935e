import { factorise, type Matrix, products, solve } from "./cholesky.js";
import type { LogisticRows } from "./firth-design.js";
import { type FirthPlace, firthCurvature, firthScore } from "./firth-slopes.js";

/** Where the penalised likelihood is greatest, with some coefficients held. */
export interface Maximum {
  readonly coefficients: Float64Array;
  /** The log-likelihood with its penalty. */
  readonly value: number;
  /** How steeply it rises with each coefficient: 0 but for those that are held. */
  readonly score: Float64Array;
  readonly information: Matrix;
  /** The second derivatives times minus 1, here or nearby. */
  readonly curvature: Matrix;
  /** False where the steps ran out: the rest is then as near as they came. */
  readonly settled: boolean;
}

const STEPS = 250;
/** Of any row's logit: a longer stride throws the first ones far off where the outcomes are separated. */
const STRIDE = 5;
const HALVINGS = 30;
/** Of the value's size: what the sum over the rows cannot tell apart. */
const ROUNDING = 1e-12;
/** Of the value's size: no fit is worth more steps that has so little to win. Where terms all but move together the coefficients stay vague. */
const LITTLE = 1e-9;
/** A step that is more than this part of the one before it wants the curvature anew. */
const SLOW = 0.05;

/** What the likelihood is at one place. */
interface Place extends FirthPlace {
  readonly coefficients: Float64Array;
  readonly value: number;
}

/**
 * The log-likelihood and half the logarithm of the information's determinant, made as great as can be by steps on Firth's modified
 * score, over the curvature, or over the information where the curvature bends the wrong way (D. Firth, "Bias reduction of maximum
 * likelihood estimates", Biometrika 80, 1993, pp. 27 to 38; G. Heinze and M. Schemper, Statistics in Medicine 21, 2002, pp. 2409 to
 * 2419; from memory). A step that does not help is halved.
 * @param start where to begin; those that are not free stay there
 * @param free which coefficients may change
 * @param close how near the coefficients have to come
 * @param nearby the curvature at a place near the start, if one is known
 * @returns null where the information has no determinant at the start
 */
export function maximise(
  rows: LogisticRows,
  start: Float64Array,
  free: readonly number[],
  close: number,
  nearby: Matrix | null = null,
): Maximum | null {
  let at = look(rows, start);
  if (at === null) return null;
  let score = firthScore(rows, at);
  let curvature = nearby;
  let before = Number.POSITIVE_INFINITY;
  let settled = free.length === 0;
  let gain = Number.POSITIVE_INFINITY;
  for (let step = 0; step < STEPS && !settled; step++) {
    let side = curvature === null ? null : strideOver(curvature, rows.size, score, free);
    if (side === null || longest(side) > SLOW * before) {
      curvature = firthCurvature(rows, at);
      side = strideOver(curvature, rows.size, score, free) ?? towards(at.information, curvature, score, free);
    }
    if (side === null) break;
    before = longest(side);
    gain = free.reduce((sum, k, i) => sum + (score[k] as number) * ((side as Float64Array)[i] as number), 0);
    if (before < close) settled = true;
    const next = uphill(rows, at, side, free);
    if (next === null) break;
    at = next;
    score = firthScore(rows, at);
  }
  const { coefficients, value, information } = at;
  if (gain < LITTLE * (1 + Math.abs(value))) settled = true;
  return { coefficients, value, score, information, curvature: curvature ?? information, settled };
}

function longest(side: Float64Array): number {
  let most = 0;
  for (const each of side) most = Math.max(most, Math.abs(each));
  return most;
}

/** How far a step moves the logit of the row that it moves most. */
function furthest({ n, columns }: LogisticRows, side: Float64Array, free: readonly number[]): number {
  const moved = new Float64Array(n);
  free.forEach((k, i) => {
    const column = columns[k] as Float64Array;
    const by = side[i] as number;
    for (let row = 0; row < n; row++) moved[row] = (moved[row] as number) + by * (column[row] as number);
  });
  return longest(moved);
}

function uphill(rows: LogisticRows, at: Place, side: Float64Array, free: readonly number[]): Place | null {
  let stride = Math.min(1, STRIDE / furthest(rows, side, free));
  for (let halved = 0; halved < HALVINGS; halved++, stride /= 2) {
    const to = at.coefficients.slice();
    free.forEach((k, i) => {
      to[k] = (to[k] as number) + stride * (side[i] as number);
    });
    const there = look(rows, to);
    if (there !== null && there.value >= at.value - ROUNDING * (1 + Math.abs(at.value))) return there;
  }
  return null;
}

/** The curvature bends the wrong way: as much of it over the information as leaves that positive definite. */
function towards(
  information: Matrix,
  curvature: Matrix,
  score: Float64Array,
  free: readonly number[],
): Float64Array | null {
  for (const share of [0.75, 0.5, 0.25, 0]) {
    const mixed = information.map((own, i) => own + share * ((curvature[i] as number) - own));
    const side = strideOver(mixed, score.length, score, free);
    if (side !== null) return side;
  }
  return null;
}

/** @returns null where the matrix is not positive definite */
function strideOver(
  matrix: Matrix,
  size: number,
  score: Float64Array,
  free: readonly number[],
): Float64Array | null {
  const block = part(matrix, size, free);
  if (factorise(block, free.length) === null) return null;
  const side = new Float64Array(free.map((k) => score[k] as number));
  solve(block, free.length, side);
  return side;
}

/** The rows and columns of the free ones. */
export function part(matrix: Matrix, size: number, free: readonly number[]): Matrix {
  const block = new Float64Array(free.length * free.length);
  for (let i = 0; i < free.length; i++)
    for (let j = 0; j <= i; j++)
      block[i * free.length + j] = matrix[(free[i] as number) * size + (free[j] as number)] as number;
  return block;
}

/** @returns null where the information is singular to working precision */
function look(
  { n, size, columns, hits, weights, offset }: LogisticRows,
  coefficients: Float64Array,
): Place | null {
  const shares = offset.slice();
  columns.forEach((column, k) => {
    const coefficient = coefficients[k] as number;
    for (let row = 0; row < n; row++)
      shares[row] = (shares[row] as number) + coefficient * (column[row] as number);
  });
  const varying = new Float64Array(n);
  let likelihood = 0;
  for (let row = 0; row < n; row++) {
    const logit = shares[row] as number;
    const weight = weights[row] as number;
    const tail = Math.exp(-Math.abs(logit));
    const missed = (hits[row] as number) === 1 ? -logit : logit;
    likelihood -= weight * (Math.log1p(tail) + Math.max(0, missed));
    const most = 1 / (1 + tail);
    shares[row] = logit >= 0 ? most : tail * most;
    varying[row] = weight * tail * most * most;
  }
  const information = products(columns, varying);
  const triangle = information.slice();
  const log = factorise(triangle, size);
  if (log === null) return null;
  return { coefficients, shares, varying, information, triangle, value: likelihood + log / 2 };
}
