import { factorise, inverse } from "./cholesky.js";
import { columnOf, type FirthFit } from "./firth.js";

/**
 * Covariance of two coefficients, from the information at the estimates.
 * @returns null where one of them cannot be told
 * @throws RangeError for a term that the fit does not have, or the intercept, whose column is not centred like the others
 */
export function firthCovariance(fit: FirthFit, one: string, other: string): number | null {
  const [a, b] = [columnOf(fit, one), columnOf(fit, other)];
  if (typeof a === "string" || typeof b === "string" || fit.model === null) return null;
  if (a.column === 0 || b.column === 0)
    throw new RangeError("The covariance is of two terms, not of the intercept.");
  const { information } = fit.model.maximum;
  const { size } = fit.model.design;
  const triangle = information.slice();
  if (factorise(triangle, size) === null) return null;
  const covariance = inverse(triangle, size)[a.column * size + b.column] as number;
  return covariance / (a.spread * b.spread);
}
