import { normalBelow, normalDensity } from "./normal.js";

/**
 * The up-and-down method of W. J. Dixon and A. M. Mood, "A method for obtaining and analyzing sensitivity data", Journal of the
 * American Statistical Association 43, 1948, pp. 109 to 126 (formulas from memory, held against a published series in the tests).
 * Levels are equally far apart on a scale on which thresholds are normal, such as the logarithm of a speed; the share of responses
 * grows with the level. For cutting, the response is that the sheet was not cut through.
 */
export interface Answer {
  readonly level: number;
  readonly response: boolean;
}

/** One level down after a response, one up after none. */
export function nextLevel({ level, response }: Answer, step: number): number {
  return response ? level - step : level + step;
}

export interface UpAndDownEstimate {
  readonly mean: number;
  readonly meanError: number;
  /** 0.53 steps, and a warning, where the series has too little spread for the paper's formula. */
  readonly sd: number;
  /** Null where the standard deviation is such a rule of thumb. */
  readonly sdError: number | null;
  /** Of the outcome that came less often, which alone is counted. */
  readonly n: number;
  readonly counted: "responses" | "no responses";
  readonly a: number;
  readonly b: number;
  readonly warnings: readonly string[];
}

/** Of (N·B − A²)/N²; up to it the formula for the spread does not hold, and ISO 12107 puts 0.53 steps in its place (from memory). */
const LEAST_MOMENT = 0.3;
const ROUGH_SD = 0.53;
/** The paper's method is for large series; it names 50. */
const FEW = 50;

/**
 * Mean and standard deviation of the thresholds from a whole series.
 * @param answers cut by the rule of `nextLevel` from beginning to end
 * @param step between two levels, above 0
 * @returns null where one of the outcomes never came
 * @throws RangeError where a level is not a whole number of steps from the others
 */
export function upAndDownEstimate(answers: readonly Answer[], step: number): UpAndDownEstimate | null {
  if (!(step > 0)) throw new RangeError("The step between two levels is above 0.");
  const responses = answers.filter(({ response }) => response);
  const silent = answers.filter(({ response }) => !response);
  if (responses.length === 0 || silent.length === 0) return null;
  const rarer = responses.length <= silent.length ? responses : silent;
  const counted = rarer === responses ? "responses" : "no responses";
  const lowest = Math.min(...rarer.map(({ level }) => level));
  const places = rarer.map(({ level }) => place(level, lowest, step));
  for (const { level } of answers) place(level, lowest, step);
  const n = rarer.length;
  const a = places.reduce((sum, i) => sum + i, 0);
  const b = places.reduce((sum, i) => sum + i * i, 0);
  const mean = lowest + step * (a / n + (counted === "responses" ? -0.5 : 0.5));
  const moment = (n * b - a * a) / n ** 2;
  const rough = moment <= LEAST_MOMENT;
  const sd = step * (rough ? ROUGH_SD : 1.62 * (moment + 0.029));
  const warnings: string[] = [];
  if (rough) {
    warnings.push(
      "The answers lie too close together to tell the spread of the thresholds: a smaller step tells it.",
    );
  }
  if (answers.length < FEW) {
    warnings.push(
      `The method is for series of ${FEW} and more; its errors are too small for ${answers.length}.`,
    );
  }
  const { g, h } = errorFactors(step / sd, (mean - lowest) / sd);
  const meanError = (g * sd) / Math.sqrt(n);
  const sdError = rough ? null : (h * sd) / Math.sqrt(n);
  return { mean, meanError, sd, sdError, n, counted, a, b, warnings };
}

function place(level: number, lowest: number, step: number): number {
  const steps = (level - lowest) / step;
  const whole = Math.round(steps);
  if (Math.abs(steps - whole) > 1e-6) {
    throw new RangeError("Every level is a whole number of steps from the others.");
  }
  return whole;
}

/** Standard deviations that the walk is followed to on either side of the mean. */
const REACH = 4;

/**
 * The paper's G and H: the errors of mean and standard deviation over s/√N, which it gives as curves. Here they are reckoned from
 * what they stand for: the information that a long series has of both, N being half of its answers.
 * @param d the step, in standard deviations
 * @param offset of the mean from any of the levels, in standard deviations
 */
export function errorFactors(d: number, offset: number): { g: number; h: number } {
  const away = offset - Math.round(offset / d) * d;
  const chance = (i: number) => normalBelow(i * d - away);
  let total = 0;
  let [mm, ms, ss] = [0, 0, 0];
  const add = (i: number, share: number) => {
    const z = i * d - away;
    const p = chance(i);
    const information = (share * normalDensity(z) ** 2) / (p * (1 - p));
    total += share;
    mm += information;
    ms += information * z;
    ss += information * z * z;
  };
  add(0, 1);
  // The walk goes up from a level as often as it comes down from the next: so many steps out, and no more are taken.
  const side = Math.ceil(REACH / d);
  for (const way of [1, -1]) {
    let share = 1;
    for (let i = 0; i !== way * side; i += way) {
      const there = way === 1 ? 1 - chance(i) : chance(i);
      const back = way === 1 ? chance(i + way) : 1 - chance(i + way);
      share *= there / back;
      add(i + way, share);
    }
  }
  const det = mm * ss - ms * ms;
  const half = total / 2;
  return { g: Math.sqrt((half * ss) / det), h: Math.sqrt((half * mm) / det) };
}
