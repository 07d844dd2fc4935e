import { chiSquareAbove } from "./chi-square.js";
import { columnOf, type FirthFit } from "./firth.js";
import { turnedToIntercept } from "./firth-design.js";
import { maximise } from "./firth-maximum.js";
import { INTERCEPT } from "./intercept.js";

/** Whether some terms have to do with the outcome, all others kept. */
export interface FirthTest {
  readonly terms: readonly string[];
  /** Twice what the penalised log-likelihood loses without them; null where that cannot be told. */
  readonly chiSquare: number | null;
  /** In how many independent ways they could matter. */
  readonly freedom: number;
  readonly p: number | null;
  readonly n: number;
  readonly method: string;
  readonly warnings: readonly string[];
}

const METHOD =
  "penalised likelihood ratio with Firth's penalty of all terms in both fits (Heinze and Schemper), against chi-square";
const CLOSE = 1e-9;

/**
 * The penalised likelihood-ratio test of one term or of several together. Both fits carry the penalty of the full design, with the
 * coefficients that are tested held at 0: G. Heinze and M. Schemper, Statistics in Medicine 21, 2002, section 2.2; leaving the
 * columns out would change the penalty, and could even make the ratio negative (from memory).
 * @param terms one or more, or the intercept alone; terms that always moved together are tested together or not at all
 * @throws RangeError for a term that the fit does not have, or none
 */
export function firthTest(fit: FirthFit, terms: readonly string[]): FirthTest {
  if (terms.length === 0) throw new RangeError("A test is of one term or more.");
  if (terms.length > 1 && terms.includes(INTERCEPT)) throw new RangeError("The intercept is tested alone.");
  const columns = new Set<number>();
  const aside = new Set<string>();
  const refused = new Set<string>();
  for (const term of terms) {
    const found = columnOf(fit, term);
    const group = fit.inseparable.find((one) => one.includes(term));
    if (typeof found !== "string") columns.add(found.column);
    else if (group?.every((other) => terms.includes(other)))
      for (const column of keptOf(fit, term)) columns.add(column);
    else if (fit.constant.includes(term)) aside.add(found);
    else refused.add(found);
  }
  const freedom = columns.size;
  const about = { terms, freedom, n: fit.n, method: METHOD };
  const value = refused.size > 0 || freedom === 0 ? null : without(fit, columns);
  if (value === null || fit.model === null) {
    const found = [...refused, ...aside];
    const warnings =
      found.length > 0 ? found : ["The fit without these terms found no end: nothing can be told."];
    return { ...about, chiSquare: null, p: null, warnings };
  }
  const chiSquare = Math.max(0, 2 * (fit.model.maximum.value - value));
  return { ...about, chiSquare, p: chiSquareAbove(chiSquare, freedom), warnings: [...aside] };
}

/** The column that stands for a term's group, if this term is the one that was kept. */
function keptOf(fit: FirthFit, term: string): number[] {
  const column = (fit.model?.design.kept.indexOf(fit.model.design.names.indexOf(term)) ?? -1) + 1;
  return column > 0 ? [column] : [];
}

function without(fit: FirthFit, columns: ReadonlySet<number>): number | null {
  if (fit.model === null) return null;
  const { design, maximum } = fit.model;
  const alone = columns.has(0) ? turnedToIntercept(design) : null;
  const free = Array.from({ length: design.size }, (_, k) => k).filter((k) => !columns.has(k));
  const near = alone?.turned(maximum.coefficients) ?? maximum.coefficients.slice();
  for (const column of columns) near[column] = 0;
  for (const start of [near, new Float64Array(design.size)]) {
    const found = maximise(alone?.rows ?? design, start, free, CLOSE);
    if (found?.settled === true) return found.value;
  }
  return null;
}

/** All terms at once: whether anything here has to do with the outcome. */
export function firthTestOfAll(fit: FirthFit): FirthTest {
  return firthTest(
    fit,
    fit.coefficients.map(({ term }) => term).filter((term) => term !== INTERCEPT),
  );
}
