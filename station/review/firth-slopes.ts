import { inner, inverse, type Matrix } from "./cholesky.js";
import type { LogisticRows } from "./firth-design.js";

/** What the slopes are made of. */
export interface FirthPlace {
  /** The chance of a hit in each row. */
  readonly shares: Float64Array;
  /** The row's weight times that chance times the chance of a miss. */
  readonly varying: Float64Array;
  readonly information: Matrix;
  /** Cholesky's, of the information. */
  readonly triangle: Matrix;
}

/** Rows times columns cubed: beyond, the penalty bends little beside the likelihood, and the information serves as well. */
const MUCH = 3e7;

/**
 * Firth's modified score, the penalised log-likelihood's first derivatives: each row counts its leverage's half as a hit and half
 * as a miss (D. Firth, Biometrika 80, 1993; from memory).
 */
export function firthScore(rows: LogisticRows, { shares, varying, triangle }: FirthPlace): Float64Array {
  const { n, size, columns, hits, weights } = rows;
  const leverages = leveragesOf(rows, varying, triangle);
  const each = new Float64Array(n);
  for (let row = 0; row < n; row++) {
    const p = shares[row] as number;
    each[row] =
      (weights[row] as number) * ((hits[row] as number) - p) + (leverages[row] as number) * (0.5 - p);
  }
  const score = new Float64Array(size);
  columns.forEach((column, k) => {
    score[k] = inner(each, column);
  });
  return score;
}

/**
 * The second derivatives, times minus 1. With A the inverse information and G_j its derivative by the j-th coefficient, the penalty
 * adds Σ h (3 p (1 − p) − ½) x x' + ½ tr(A G_j A G_k), h being the leverages (worked out for this program; a test holds it against
 * differences of the score).
 * @returns the information where there are so many rows that the rest is nothing beside it
 */
export function firthCurvature(
  rows: LogisticRows,
  { shares, varying, information, triangle }: FirthPlace,
): Matrix {
  const { n, size, columns } = rows;
  if (n * size ** 3 > MUCH) return information;
  const leverages = leveragesOf(rows, varying, triangle);
  const bend = new Float64Array(n);
  const skew = new Float64Array(n);
  for (let row = 0; row < n; row++) {
    const p = shares[row] as number;
    bend[row] = (leverages[row] as number) * (3 * p * (1 - p) - 0.5);
    skew[row] = (varying[row] as number) * (1 - 2 * p);
  }
  const curvature = information.slice();
  const third = new Float64Array((size * (size + 1) * (size + 2)) / 6);
  const skewed = new Float64Array(n);
  let at = 0;
  for (let i = 0; i < size; i++) {
    const one = columns[i] as Float64Array;
    for (let j = 0; j <= i; j++) {
      const other = columns[j] as Float64Array;
      let sum = 0;
      for (let row = 0; row < n; row++) {
        const both = (one[row] as number) * (other[row] as number);
        sum += both * (bend[row] as number);
        skewed[row] = both * (skew[row] as number);
      }
      curvature[i * size + j] = (curvature[i * size + j] as number) + sum;
      for (let k = 0; k <= j; k++, at++) third[at] = inner(skewed, columns[k] as Float64Array);
    }
  }
  addTraces(curvature, third, triangle, size);
  return curvature;
}

/** Of each row x: x' A x, as often as it counts, A being the inverse information. */
function leveragesOf(
  { n, size, columns }: LogisticRows,
  varying: Float64Array,
  triangle: Matrix,
): Float64Array {
  const inverted = inverse(triangle, size);
  const leverages = new Float64Array(n);
  const side = new Float64Array(n);
  for (let i = 0; i < size; i++) {
    const own = columns[i] as Float64Array;
    side.fill(0);
    // Two columns at a time, for most of the work is fetching and putting back.
    for (let j = 0; j < i; j += 2) {
      const one = columns[j] as Float64Array;
      const factor = inverted[i * size + j] as number;
      const second = j + 1 < i;
      const other = second ? (columns[j + 1] as Float64Array) : one;
      const otherFactor = second ? (inverted[i * size + j + 1] as number) : 0;
      for (let row = 0; row < n; row++)
        side[row] =
          (side[row] as number) + factor * (one[row] as number) + otherFactor * (other[row] as number);
    }
    const ownFactor = inverted[i * size + i] as number;
    for (let row = 0; row < n; row++) {
      const x = own[row] as number;
      leverages[row] = (leverages[row] as number) + x * (ownFactor * x + 2 * (side[row] as number));
    }
  }
  for (let row = 0; row < n; row++) leverages[row] = (leverages[row] as number) * (varying[row] as number);
  return leverages;
}

/** Half of tr(A G_j A G_k) to each place; `third` has each product of three columns once. */
function addTraces(curvature: Matrix, third: Float64Array, triangle: Matrix, size: number): void {
  const between = Array.from({ length: size }, (_, j) => {
    const matrix = new Float64Array(size * size);
    for (let a = 0; a < size; a++)
      for (let b = 0; b < size; b++) matrix[a * size + b] = third[placeOf(j, a, b)] as number;
    forward(triangle, size, matrix);
    transpose(matrix, size);
    forward(triangle, size, matrix);
    return matrix;
  });
  for (let j = 0; j < size; j++) {
    const one = between[j] as Matrix;
    for (let k = 0; k <= j; k++) {
      const other = between[k] as Matrix;
      let sum = 0;
      for (let at = 0; at < one.length; at++) sum += (one[at] as number) * (other[at] as number);
      const value = (curvature[j * size + k] as number) + sum / 2;
      curvature[j * size + k] = value;
      curvature[k * size + j] = value;
    }
  }
}

function placeOf(a: number, b: number, c: number): number {
  const high = Math.max(a, b, c);
  const low = Math.min(a, b, c);
  const middle = a + b + c - high - low;
  return (high * (high + 1) * (high + 2)) / 6 + (middle * (middle + 1)) / 2 + low;
}

/** Each column, by substitution from the top. */
function forward(triangle: Matrix, size: number, matrix: Matrix): void {
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) {
      const factor = triangle[i * size + k] as number;
      for (let b = 0; b < size; b++)
        matrix[i * size + b] = (matrix[i * size + b] as number) - factor * (matrix[k * size + b] as number);
    }
    const own = triangle[i * size + i] as number;
    for (let b = 0; b < size; b++) matrix[i * size + b] = (matrix[i * size + b] as number) / own;
  }
}

function transpose(matrix: Matrix, size: number): void {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j < i; j++) {
      const kept = matrix[i * size + j] as number;
      matrix[i * size + j] = matrix[j * size + i] as number;
      matrix[j * size + i] = kept;
    }
  }
}
