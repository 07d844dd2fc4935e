import { factorise, inverse, type Matrix, products } from "../cholesky.js";
import { shareOf } from "./fitted.js";

/** What is known after the cuts so far, of a logistic fit's coefficients. */
export interface Known {
  readonly size: number;
  /** Their covariance. */
  readonly covariance: Matrix;
}

/**
 * @param columns each as long as there are runs, the intercept's of ones among them
 * @param coefficients one for each column
 * @returns null where the runs do not tell the columns apart
 */
export function knownOf(columns: readonly Float64Array[], coefficients: readonly number[]): Known | null {
  const size = columns.length;
  const weights = Float64Array.from(columns[0] ?? [], (_, row) => {
    const logit = columns.reduce(
      (sum, column, k) => sum + (column[row] as number) * (coefficients[k] as number),
      0,
    );
    const share = shareOf(logit);
    return share * (1 - share);
  });
  const information = products(columns, weights);
  if (factorise(information, size) === null) return null;
  return { size, covariance: inverse(information, size) };
}

/**
 * Share by which one cut more would bring the limits of a figure nearer, were it made where every other one goes through (each then
 * tells a quarter): one row more in the information, its inverse by J. Sherman and W. J. Morrison's formula, 1950 (from memory). The
 * cut that gains the most is the usual design by expected information (F. Pukelsheim, Optimal Design of Experiments, 1993; from memory).
 * @param row the cut's columns
 * @param figure by how much the figure changes with each coefficient
 * @returns 0 to 1; null where that cannot be reckoned
 */
export function expectedGain(
  { size, covariance }: Known,
  row: readonly number[],
  figure: readonly number[],
): number | null {
  const toward = row.map((_, i) =>
    row.reduce((sum, value, j) => sum + (covariance[i * size + j] as number) * value, 0),
  );
  const product = (one: readonly number[], other: readonly number[]) =>
    one.reduce((sum, value, i) => sum + value * (other[i] as number), 0);
  const before = figure.reduce(
    (sum, value, i) =>
      sum +
      value * figure.reduce((inner, other, j) => inner + (covariance[i * size + j] as number) * other, 0),
    0,
  );
  const after = before - (0.25 * product(toward, figure) ** 2) / (1 + 0.25 * product(row, toward));
  const gain = 1 - Math.sqrt(Math.max(0, after) / before);
  return Number.isFinite(gain) ? gain : null;
}
