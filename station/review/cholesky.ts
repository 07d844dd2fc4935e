/** Symmetric matrices lie row after row in an array of size × size; only what is on and below the diagonal is read. */
export type Matrix = Float64Array;

/** The sum of the products of two columns: four sums beside each other, for one alone waits for each addition. */
export function inner(one: Float64Array, other: Float64Array): number {
  const n = one.length;
  const even = n - (n % 4);
  let [a, b, c, d] = [0, 0, 0, 0];
  for (let i = 0; i < even; i += 4) {
    a += (one[i] as number) * (other[i] as number);
    b += (one[i + 1] as number) * (other[i + 1] as number);
    c += (one[i + 2] as number) * (other[i + 2] as number);
    d += (one[i + 3] as number) * (other[i + 3] as number);
  }
  for (let i = even; i < n; i++) a += (one[i] as number) * (other[i] as number);
  return a + b + (c + d);
}

/** The sums of the products of every two columns, each row as often as its weight says. */
export function products(columns: readonly Float64Array[], weights: Float64Array): Matrix {
  const size = columns.length;
  const matrix = new Float64Array(size * size);
  const weighted = new Float64Array(weights.length);
  columns.forEach((one, i) => {
    for (let row = 0; row < weighted.length; row++)
      weighted[row] = (one[row] as number) * (weights[row] as number);
    for (let j = 0; j <= i; j++) {
      const sum = inner(weighted, columns[j] as Float64Array);
      matrix[i * size + j] = sum;
      matrix[j * size + i] = sum;
    }
  });
  return matrix;
}

/**
 * The lower triangle whose product with its own transpose the matrix is (Cholesky's; G. H. Golub and C. F. Van Loan, Matrix
 * Computations, section 4.2; from memory), written over the matrix itself. What is above the diagonal stays as it is.
 * @returns the logarithm of the determinant; null where the matrix is not positive definite, and is left half overwritten
 */
export function factorise(matrix: Matrix, size: number): number | null {
  let log = 0;
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j] as number;
      for (let k = 0; k < j; k++) sum -= (matrix[i * size + k] as number) * (matrix[j * size + k] as number);
      if (j < i) {
        matrix[i * size + j] = sum / (matrix[j * size + j] as number);
      } else {
        if (!(sum > 0 && sum < Number.POSITIVE_INFINITY)) return null;
        matrix[i * size + i] = Math.sqrt(sum);
        log += Math.log(sum);
      }
    }
  }
  return log;
}

/** Solves for one right-hand side, in place, with a triangle made by `factorise`. */
export function solve(triangle: Matrix, size: number, side: Float64Array): void {
  for (let i = 0; i < size; i++) {
    let sum = side[i] as number;
    for (let k = 0; k < i; k++) sum -= (triangle[i * size + k] as number) * (side[k] as number);
    side[i] = sum / (triangle[i * size + i] as number);
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = side[i] as number;
    for (let k = i + 1; k < size; k++) sum -= (triangle[k * size + i] as number) * (side[k] as number);
    side[i] = sum / (triangle[i * size + i] as number);
  }
}

/** The inverse of the matrix that the triangle was made of. */
export function inverse(triangle: Matrix, size: number): Matrix {
  const inverted = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    const unit = new Float64Array(size);
    unit[i] = 1;
    solve(triangle, size, unit);
    inverted.set(unit, i * size);
  }
  return inverted;
}

/** Columns of a matrix of sums of squares and products that lie in the span of the others. */
export interface Rank {
  /** Columns that span all; in rising order. */
  readonly independent: readonly number[];
  /** Every other column, and those of the independent ones that it is made of. */
  readonly dependent: readonly { readonly column: number; readonly of: readonly number[] }[];
}

/** The share of a column that the others leave; below, it is rounding. */
const LEFT = 1e-9;
/** The part of a column that another must make up to count. */
const PART = 1e-5;

/**
 * Which columns are independent, by Cholesky's factors with the greatest remaining diagonal first (N. J. Higham, Accuracy and
 * Stability of Numerical Algorithms, section 10.3; from memory).
 * @param matrix of columns each with a sum of squares of 1, as correlations have; it stays as it is
 */
export function rankOf(matrix: Matrix, size: number): Rank {
  const left = Float64Array.from({ length: size }, (_, i) => matrix[i * size + i] as number);
  const chosen: number[] = [];
  // A row for each chosen column, of its products with all others after the earlier ones are taken out.
  const rows: Float64Array[] = [];
  for (;;) {
    const rest = [...left.keys()].filter((i) => !chosen.includes(i));
    const next = rest.reduce(
      (best, i) => (best < 0 || (left[i] as number) > (left[best] as number) + 1e-12 ? i : best),
      -1,
    );
    if (next < 0 || !((left[next] as number) > LEFT)) break;
    const pivot = Math.sqrt(left[next] as number);
    const row = new Float64Array(size);
    for (const i of rest) {
      const taken = rows.reduce((sum, each) => sum + (each[next] as number) * (each[i] as number), 0);
      row[i] = ((matrix[Math.max(i, next) * size + Math.min(i, next)] as number) - taken) / pivot;
      left[i] = (left[i] as number) - (row[i] as number) ** 2;
    }
    chosen.push(next);
    rows.push(row);
  }
  const dependent = [...left.keys()]
    .filter((i) => !chosen.includes(i))
    .map((column) => ({ column, of: madeOf(column, chosen, rows) }));
  return { independent: [...chosen].sort((a, b) => a - b), dependent };
}

/** Back through the triangle: how much of each chosen column the dependent one is. */
function madeOf(column: number, chosen: readonly number[], rows: readonly Float64Array[]): number[] {
  const parts = new Float64Array(chosen.length);
  for (let k = chosen.length - 1; k >= 0; k--) {
    const row = rows[k] as Float64Array;
    let sum = row[column] as number;
    for (let m = k + 1; m < chosen.length; m++)
      sum -= (row[chosen[m] as number] as number) * (parts[m] as number);
    parts[k] = sum / (row[chosen[k] as number] as number);
  }
  return chosen.filter((_, k) => Math.abs(parts[k] as number) > PART).sort((a, b) => a - b);
}
