import { factorise, inverse } from "./cholesky.js";
import { type FirthData, type FirthDesign, firthDesign, turnedToIntercept } from "./firth-design.js";
import { type Maximum, maximise } from "./firth-maximum.js";
import { INTERCEPT } from "./intercept.js";

export interface FirthCoefficient {
  readonly term: string;
  /** By how much the logit rises with each unit of the term; null where that cannot be told. */
  readonly estimate: number | null;
  /** From the information at the estimate. */
  readonly standardError: number | null;
}

/** logit P(outcome) = offset + intercept + Σ coefficient · term. */
export interface FirthFit {
  /** The intercept first, then the terms as they were given. */
  readonly coefficients: readonly FirthCoefficient[];
  /** The log-likelihood with Firth's penalty, the terms in their own units; null where nothing could be fitted. */
  readonly penalised: number | null;
  /** Rows that count. */
  readonly n: number;
  /** Terms that never changed. */
  readonly constant: readonly string[];
  /** Groups of terms of which each is made of the others: only what they do together can be told. */
  readonly inseparable: readonly (readonly string[])[];
  readonly method: string;
  readonly warnings: readonly string[];
  /** What tests and limits go on from. */
  readonly model: FirthModel | null;
}

/** The fit in units of the terms' spreads. */
export interface FirthModel {
  readonly design: FirthDesign;
  readonly maximum: Maximum;
}

const METHOD = "logistic regression with Firth's penalty (Jeffreys's prior)";
/** In units of the terms' spreads. */
const CLOSE = 1e-10;

/**
 * Firth's penalised logistic regression, which has an answer where the outcomes are separated, as few runs with several conditions
 * mostly are: D. Firth, "Bias reduction of maximum likelihood estimates", Biometrika 80, 1993; G. Heinze and M. Schemper, "A
 * solution to the problem of separation in logistic regression", Statistics in Medicine 21, 2002 (both from memory). A weight
 * counts a row so many times, in the penalty too.
 * @throws RangeError for data that are no numbers throughout, or of differing lengths
 */
export function fitFirth(data: FirthData): FirthFit {
  if (data.terms.some(({ name }) => name === INTERCEPT)) {
    throw new RangeError(`No term can be called "${INTERCEPT}".`);
  }
  const design = firthDesign(data);
  const every = Array.from({ length: design.size }, (_, k) => k);
  const maximum = design.n === 0 ? null : maximise(design, new Float64Array(design.size), every, CLOSE);
  const model = maximum?.settled === true ? { design, maximum } : null;
  const told = model === null ? null : inOwnUnits(model);
  const columnOf = (term: number) =>
    design.inseparable.some((group) => group.includes(term)) ? -1 : design.kept.indexOf(term) + 1;
  const coefficient = (term: string, column: number): FirthCoefficient => ({
    term,
    estimate: told?.estimates[column] ?? null,
    standardError: told?.errors[column] ?? null,
  });
  // What a term that never changed does is in the intercept.
  const whole = design.constant.length === 0 && design.inseparable.length === 0;
  return {
    coefficients: [
      coefficient(INTERCEPT, whole ? 0 : -1),
      ...design.names.map((name, term) => coefficient(name, columnOf(term) || -1)),
    ],
    penalised:
      model === null
        ? null
        : model.maximum.value + design.spreads.reduce((sum, spread) => sum + Math.log(spread), 0),
    n: design.n,
    constant: named(design, design.constant),
    inseparable: design.inseparable.map((group) => named(design, group)),
    method: METHOD,
    warnings: warningsOf(design, model),
    model,
  };
}

/**
 * Which column of the fit a coefficient is, and rows in which it stands alone.
 * @returns the sentence that says why where it cannot be told
 * @throws RangeError for a term that the fit does not have
 */
export function columnOf(fit: FirthFit, term: string) {
  if (!fit.coefficients.some((one) => one.term === term))
    throw new RangeError(`No term is called "${term}".`);
  const group = fit.inseparable.find((one) => one.includes(term));
  if (fit.model === null) return fit.warnings[0] ?? "Nothing could be fitted.";
  if (fit.constant.includes(term)) return sentenceOfConstant(term);
  if (group !== undefined) return sentenceOfGroup(group);
  const { design, maximum } = fit.model;
  if (term !== INTERCEPT) {
    const column = design.kept.indexOf(design.names.indexOf(term)) + 1;
    return {
      column,
      rows: design,
      start: maximum.coefficients,
      spread: design.spreads[column - 1] as number,
    };
  }
  if (fit.constant.length > 0 || fit.inseparable.length > 0) {
    return "The intercept cannot be told from what terms do that never changed or moved together.";
  }
  const { rows, unit, turned } = turnedToIntercept(design);
  return { column: 0, rows, start: turned(maximum.coefficients), spread: 1 / unit };
}

function inOwnUnits({ design, maximum }: FirthModel): { estimates: number[]; errors: number[] } {
  const { size } = design;
  const triangle = maximum.information.slice();
  factorise(triangle, size);
  const covariance = inverse(triangle, size);
  const at = (i: number, j: number) => covariance[i * size + j] as number;
  const errors: number[] = [];
  const back = [
    1,
    ...design.kept.map((_, k) => -(design.centres[k] as number) / (design.spreads[k] as number)),
  ];
  const estimates = [back.reduce((sum, part, k) => sum + part * (maximum.coefficients[k] as number), 0)];
  const variance = back.reduce(
    (sum, a, i) => sum + back.reduce((inner, b, j) => inner + a * b * at(i, j), 0),
    0,
  );
  errors.push(Math.sqrt(variance));
  design.spreads.forEach((spread, k) => {
    estimates.push((maximum.coefficients[k + 1] as number) / spread);
    errors.push(Math.sqrt(at(k + 1, k + 1)) / spread);
  });
  return { estimates, errors };
}

function warningsOf(design: FirthDesign, model: FirthModel | null): string[] {
  if (design.n === 0) return ["There are no rows to fit."];
  const warnings: string[] = [];
  if (model === null) warnings.push("The fit found no end: nothing can be told.");
  if (design.hits.every((hit) => hit === design.hits[0])) {
    warnings.push("Every outcome was the same: nothing can be told of what changes it.");
  } else if (model !== null && apart(model)) {
    warnings.push(
      "The terms divide the outcomes without a single one on the wrong side: only the penalty keeps the estimates from growing without end.",
    );
  }
  for (const name of named(design, design.constant)) warnings.push(sentenceOfConstant(name));
  for (const group of design.inseparable) warnings.push(sentenceOfGroup(named(design, group)));
  return warnings;
}

function sentenceOfConstant(name: string): string {
  return `"${name}" was the same in every row: what it does cannot be told.`;
}

function sentenceOfGroup(group: readonly string[]): string {
  const quoted = group.map((name) => `"${name}"`);
  return `${quoted.slice(0, -1).join(", ")} and ${quoted.at(-1)} always moved together: they cannot be told apart.`;
}

function named(design: FirthDesign, terms: readonly number[]): string[] {
  return terms.map((term) => design.names[term] as string);
}

/** Whether every row with one outcome has a higher logit than every row with the other. */
function apart({ design, maximum }: FirthModel): boolean {
  let highestMiss = Number.NEGATIVE_INFINITY;
  let lowestHit = Number.POSITIVE_INFINITY;
  for (let row = 0; row < design.n; row++) {
    const logit = design.columns.reduce(
      (sum, column, k) => sum + (column[row] as number) * (maximum.coefficients[k] as number),
      0,
    );
    if (design.hits[row] === 1) lowestHit = Math.min(lowestHit, logit);
    else highestMiss = Math.max(highestMiss, logit);
  }
  return lowestHit > highestMiss;
}
