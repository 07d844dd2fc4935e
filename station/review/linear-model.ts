import { INTERCEPT } from "./intercept.js";
import type { Reckoned } from "./reckoned.js";
import { studentQuantile } from "./student.js";
import { fTail, studentTails } from "./tails.js";

/** One coefficient of a model; null all where its column is told by those before it. */
export interface Coefficient {
  readonly name: string;
  readonly estimate: number | null;
  readonly error: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly p: number | null;
}

export interface LinearModel extends Reckoned {
  /** The intercept first. */
  readonly coefficients: readonly Coefficient[];
  /** Standard deviation of what is left; null where nothing is left to judge by. */
  readonly sigma: number | null;
  /** Residual sum of squares. */
  readonly squares: number;
  readonly freedom: number;
  /** At the stated values of the columns; null where the model cannot tell it. */
  at(values: readonly number[]): { estimate: number; error: number; lower: number; upper: number } | null;
}

export interface Term {
  readonly name: string;
  readonly values: readonly number[];
}

const METHOD = "least squares by orthogonal columns, limits by Student's t";
/** What is left of a column, of its length, that is no more than rounding. */
const NOTHING_LEFT = 1e-9;

/**
 * Least squares with an intercept. A column that is told by those before it (constant, or a sum of others) is left out and said,
 * and changes nothing for the rest. For lots in blocks give a column of 0 and 1 for each block but one.
 * @param y as many as every term has values
 * @param confidence above 0 and below 1
 * @throws RangeError for values that are no numbers, or columns of another length
 */
export function linearModel(y: readonly number[], terms: readonly Term[], confidence = 0.95): LinearModel {
  const n = y.length;
  if (
    !y.every(Number.isFinite) ||
    !terms.every(({ values }) => values.length === n && values.every(Number.isFinite))
  )
    throw new RangeError(
      "A model has a number for every value, and every column is as long as the outcomes.",
    );
  if (!(confidence > 0 && confidence < 1))
    throw new RangeError("The confidence of limits is above 0 and below 1.");
  const columns = [{ name: INTERCEPT, values: y.map(() => 1) }, ...terms];
  const { kept, q, r, told } = orthogonal(columns.map(({ values }) => values));
  const along = q.map((column) => dot(column, y));
  const left = y.map(
    (value, i) => value - q.reduce((sum, column, k) => sum + (column[i] as number) * (along[k] as number), 0),
  );
  // What is left where all fits is rounding, of which nothing may be judged.
  const fits = norm(left) <= NOTHING_LEFT * norm(y);
  const squares = fits ? 0 : dot(left, left);
  const freedom = n - kept.length;
  const sigma = freedom > 0 && !fits ? Math.sqrt(squares / freedom) : null;
  const solved = backward(r, along);
  const inverse = inverseOf(r);
  const t = freedom > 0 ? studentQuantile((1 + confidence) / 2, freedom) : null;
  const nothing = { estimate: null, error: null, lower: null, upper: null, p: null };
  const coefficients = columns.map(({ name }, i): Coefficient => {
    const place = kept.indexOf(i);
    if (place < 0) return { name, ...nothing };
    const estimate = solved[place] as number;
    if (sigma === null || t === null) return { name, ...nothing, estimate };
    const error = sigma * norm(inverse[place] as number[]);
    const p = error > 0 ? studentTails(estimate / error, freedom) : null;
    return { name, estimate, error, lower: estimate - t * error, upper: estimate + t * error, p };
  });
  const out = columns.filter((_, i) => !kept.includes(i)).map(({ name }) => name);
  const warnings = [
    ...(out.length === 0 ? [] : [`Cannot be told apart from what stands before it: ${out.join(", ")}.`]),
    ...(freedom > 0 ? [] : ["There are as many coefficients as values: nothing is left to judge them by."]),
    ...(freedom > 0 && fits ? ["Everything fits to the last digit: there is no spread to judge by."] : []),
  ];
  return {
    ...{ coefficients, sigma, squares, freedom, n, confidence, method: METHOD, warnings },
    at(values) {
      const row = [1, ...values];
      if (sigma === null || t === null || row.length !== columns.length) return null;
      const own = kept.map((i) => row[i] as number);
      // Where a column that was told by others is not what it was told by, nothing has been seen of the like.
      const seen = told.every(({ column, by }) => {
        const size =
          Math.abs(row[column] as number) +
          by.reduce((sum, b, k) => sum + Math.abs(b * (own[k] as number)), 0);
        const due = by.reduce((sum, b, k) => sum + b * (own[k] as number), 0);
        return Math.abs((row[column] as number) - due) <= NOTHING_LEFT * size;
      });
      if (!seen) return null;
      const estimate = dot(own, solved);
      // Row times the inverse of R, whose square is the leverage.
      const reach = inverse[0]?.map((_, k) =>
        own.reduce((sum, value, i) => sum + value * ((inverse[i] as number[])[k] as number), 0),
      );
      const error = sigma * norm(reach ?? []);
      return { estimate, error, lower: estimate - t * error, upper: estimate + t * error };
    },
  };
}

/**
 * Whether some terms, left out together, leave more than chance would.
 * @param smaller the model without them, of the same values
 * @returns null where nothing is left to judge by
 */
export function fTest(
  smaller: Pick<LinearModel, "squares" | "freedom">,
  larger: Pick<LinearModel, "squares" | "freedom">,
): { f: number; above: number; below: number; p: number } | null {
  const above = smaller.freedom - larger.freedom;
  if (above <= 0 || larger.freedom <= 0 || !(larger.squares > 0)) return null;
  const f = Math.max(0, (smaller.squares - larger.squares) / above / (larger.squares / larger.freedom));
  return { f, above, below: larger.freedom, p: fTail(f, above, larger.freedom) };
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
}

function norm(values: readonly number[]): number {
  return Math.sqrt(dot(values, values));
}

interface Orthogonal {
  /** Columns that are not told by those before them. */
  readonly kept: readonly number[];
  readonly q: readonly (readonly number[])[];
  /** Its columns, each up to the diagonal. */
  readonly r: readonly (readonly number[])[];
  /** Each of the others as a sum of the first of those that are kept. */
  readonly told: readonly { readonly column: number; readonly by: readonly number[] }[];
}

/** Gram and Schmidt's columns, each made orthogonal twice, which is enough for rounding (W. Kahan; from memory). */
function orthogonal(columns: readonly (readonly number[])[]): Orthogonal {
  const kept: number[] = [];
  const q: number[][] = [];
  const r: number[][] = [];
  const told: { column: number; by: number[] }[] = [];
  columns.forEach((column, i) => {
    let left = [...column];
    const along = q.map(() => 0);
    for (let round = 0; round < 2; round++) {
      q.forEach((other, k) => {
        const share = dot(other, left);
        along[k] = (along[k] as number) + share;
        left = left.map((value, j) => value - share * (other[j] as number));
      });
    }
    const length = norm(left);
    if (!(length > NOTHING_LEFT * norm(column))) {
      told.push({ column: i, by: backward(r, along) });
      return;
    }
    kept.push(i);
    q.push(left.map((value) => value / length));
    r.push([...along, length]);
  });
  return { kept, q, r, told };
}

/** @param r its columns, each up to the diagonal */
function backward(r: readonly (readonly number[])[], right: readonly number[]): number[] {
  const solved = [...right];
  for (let k = r.length - 1; k >= 0; k--) {
    const column = r[k] as readonly number[];
    solved[k] = (solved[k] as number) / (column[k] as number);
    for (let i = 0; i < k; i++)
      solved[i] = (solved[i] as number) - (column[i] as number) * (solved[k] as number);
  }
  return solved;
}

/** Its rows. */
function inverseOf(r: readonly (readonly number[])[]): number[][] {
  const columns = r.map((_, k) =>
    backward(
      r,
      r.map((_none, i) => (i === k ? 1 : 0)),
    ),
  );
  return r.map((_, i) => columns.map((column) => column[i] as number));
}
