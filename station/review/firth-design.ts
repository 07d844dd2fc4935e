import { inner, products, rankOf } from "./cholesky.js";

/** One thing that may have to do with the outcome. */
export interface FirthTerm {
  readonly name: string;
  /** One for each row, in any unit. */
  readonly values: readonly number[];
}

export interface FirthData {
  /** Without the intercept, which is always there and comes first in what is returned. */
  readonly terms: readonly FirthTerm[];
  readonly outcomes: readonly boolean[];
  /** How many times each row counts, 0 or more; 1 where left out. */
  readonly weights?: readonly number[];
  /** What is known of each row's logit beforehand; 0 where left out. */
  readonly offset?: readonly number[];
}

/** Rows as the fit wants them. */
export interface LogisticRows {
  readonly n: number;
  /** How many columns, the intercept's among them. */
  readonly size: number;
  /** The intercept's first. */
  readonly columns: readonly Float64Array[];
  readonly hits: Float64Array;
  readonly weights: Float64Array;
  readonly offset: Float64Array;
}

/** What is fitted: rows that count, columns that differ, in units of their own spread. */
export interface FirthDesign extends LogisticRows {
  readonly names: readonly string[];
  /** The terms in the columns after the intercept's, as places among the names. */
  readonly kept: readonly number[];
  /** Of each kept term. */
  readonly centres: readonly number[];
  readonly spreads: readonly number[];
  /** Terms that never change. */
  readonly constant: readonly number[];
  /** Groups of terms that cannot be told apart, as each is a sum of parts of the others. */
  readonly inseparable: readonly (readonly number[])[];
}

/** Of a value's size: what changes less does not change but for rounding. */
const STILL = 1e-11;

/**
 * Checks the data, centres each term and divides it by its spread, and leaves out what adds nothing to the others.
 * @throws RangeError for lengths that differ, values that are no numbers, negative weights, or two terms of one name
 */
export function firthDesign(data: FirthData): FirthDesign {
  check(data);
  const rows = data.outcomes.map((_, i) => i).filter((i) => (data.weights?.[i] ?? 1) > 0);
  const column = (of: (row: number) => number) => {
    const values = new Float64Array(rows.length);
    for (let i = 0; i < rows.length; i++) values[i] = of(rows[i] as number);
    return values;
  };
  const weights = column((row) => data.weights?.[row] ?? 1);
  const all = data.terms.map(({ values }) =>
    standardised(
      column((row) => values[row] as number),
      weights,
    ),
  );
  const moving = all.flatMap(({ spread }, term) => (spread > 0 ? [term] : []));
  const moved = moving.map((term) => (all[term] as Standardised).column);
  const rank = rankOf(correlations(moved, weights), moving.length);
  const kept = rank.independent.map((i) => moving[i] as number);
  return {
    n: rows.length,
    size: kept.length + 1,
    columns: [
      new Float64Array(rows.length).fill(1),
      ...kept.map((term) => (all[term] as Standardised).column),
    ],
    hits: column((row) => (data.outcomes[row] === true ? 1 : 0)),
    weights,
    offset: column((row) => data.offset?.[row] ?? 0),
    names: data.terms.map(({ name }) => name),
    kept,
    centres: kept.map((term) => (all[term] as Standardised).centre),
    spreads: kept.map((term) => (all[term] as Standardised).spread),
    constant: all.flatMap(({ spread }, term) => (spread > 0 ? [] : [term])),
    inseparable: joined(rank.dependent.map(({ column, of }) => [column, ...of])).map((group) =>
      group.map((i) => moving[i] as number),
    ),
  };
}

/** Rows whose first coefficient is the intercept where all terms are 0, in `unit`s, and how coefficients of the design turn to theirs. */
export interface TurnedRows {
  readonly rows: LogisticRows;
  readonly unit: number;
  turned(coefficients: Float64Array): Float64Array;
}

/**
 * The intercept is a sum of parts of the centred coefficients. The columns are mirrored (A. S. Householder, 1958; from memory) so that
 * it becomes one of them: they stay as far apart as they were, where columns that are not centred would be nearly the same.
 */
export function turnedToIntercept(design: FirthDesign): TurnedRows {
  const { n, size, columns, hits, weights, offset, centres, spreads } = design;
  const parts = [1, ...centres.map((centre, k) => -centre / (spreads[k] as number))];
  const unit = Math.hypot(...parts);
  const normal = Float64Array.from(parts, (part, k) => part / unit - (k === 0 ? 1 : 0));
  const square = inner(normal, normal);
  const turned = (values: Float64Array) => {
    const along = square > 0 ? (2 * inner(values, normal)) / square : 0;
    return values.map((value, k) => value - along * (normal[k] as number));
  };
  const mirrored = columns.map((column) => column.slice());
  const row = new Float64Array(size);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < size; k++) row[k] = (columns[k] as Float64Array)[i] as number;
    turned(row).forEach((value, k) => {
      (mirrored[k] as Float64Array)[i] = value;
    });
  }
  return { rows: { n, size, columns: mirrored, hits, weights, offset }, unit, turned };
}

function check({ terms, outcomes, weights, offset }: FirthData): void {
  const named = new Set(terms.map(({ name }) => name));
  if (named.size < terms.length) throw new RangeError("Every term has a name of its own.");
  for (const { name, values } of terms) numbers(`The term "${name}"`, values, outcomes.length);
  if (weights !== undefined) {
    numbers("The weights", weights, outcomes.length);
    if (weights.some((weight) => weight < 0)) throw new RangeError("A weight is 0 or more.");
  }
  if (offset !== undefined) numbers("The offset", offset, outcomes.length);
}

function numbers(what: string, values: readonly number[], n: number): void {
  if (values.length !== n) {
    throw new RangeError(`${what} must have a number for each of the ${n} outcomes, not ${values.length}.`);
  }
  const bad = values.findIndex((value) => !Number.isFinite(value));
  if (bad >= 0) {
    throw new RangeError(
      `${what} must be numbers throughout: row ${bad + 1} has ${values[bad]}. Leave rows with something missing out.`,
    );
  }
}

interface Standardised {
  readonly column: Float64Array;
  readonly centre: number;
  /** 0 where nothing changes. */
  readonly spread: number;
}

function standardised(values: Float64Array, weights: Float64Array): Standardised {
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  const still = STILL * Math.max(Math.abs(least), Math.abs(most));
  if (!(most - least > still)) return { column: values, centre: 0, spread: 0 };
  // In parts of half the range, so that no square overflows.
  const half = most / 2 - least / 2;
  const parts = new Float64Array(values.length);
  let total = 0;
  for (let i = 0; i < parts.length; i++) {
    parts[i] = (values[i] as number) / half - least / half;
    total += weights[i] as number;
  }
  const middle = inner(parts, weights) / total;
  let square = 0;
  for (let i = 0; i < parts.length; i++) {
    const off = (parts[i] as number) - middle;
    parts[i] = off;
    square += off * off * (weights[i] as number);
  }
  const spread = Math.sqrt(square / total);
  for (let i = 0; i < parts.length; i++) parts[i] = (parts[i] as number) / spread;
  return { column: parts, centre: least + middle * half, spread: spread * half };
}

function correlations(columns: readonly Float64Array[], weights: Float64Array): Float64Array {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  return products(columns, weights).map((sum) => sum / total);
}

/** Groups that share a member are one. */
function joined(groups: readonly (readonly number[])[]): number[][] {
  let apart: Set<number>[] = [];
  for (const group of groups) {
    const met = apart.filter((other) => group.some((member) => other.has(member)));
    apart = [
      ...apart.filter((other) => !met.includes(other)),
      new Set([...group, ...met.flatMap((other) => [...other])]),
    ];
  }
  return apart
    .map((group) => [...group].sort((a, b) => a - b))
    .sort((a, b) => (a[0] as number) - (b[0] as number));
}
