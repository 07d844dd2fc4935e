import { fitFirth } from "../firth.js";
import type { FirthTerm } from "../firth-design.js";
import { INTERCEPT } from "../intercept.js";
import { type JudgedRun, SPEED } from "./base.js";
import { expectedGain, knownOf } from "./expected-gain.js";

/** One more cut, at the speed at which every other one goes through: none tells more. */
export interface HalfCut {
  /** What the varied term is in it. */
  readonly at: number;
  /** mm/s. */
  readonly speed: number;
  /** Share by which it would bring the figure's limits nearer, expected. */
  readonly gain: number;
}

/** What is asked of the next cut. */
export interface HalfCutQuestion {
  /** The term that is chosen. */
  readonly varied: string;
  readonly ends: readonly number[];
  /** By how much the figure in question changes with each coefficient, by the terms' names; those left out count nothing. */
  readonly figureOf: (coefficient: (term: string) => number) => Readonly<Record<string, number>>;
}

/** Of the speeds that were seen: further off nobody knows what a cut does. */
const BEYOND = 1.25;

/**
 * Cuts like the newest run but for one term, at the speed that goes through every other time there, the most telling first.
 * @returns none where speed has not shown that faster is harder, or a term cannot be told; null where that is why
 */
export function halfCuts(
  runs: readonly JudgedRun[],
  terms: readonly FirthTerm[],
  { varied, ends, figureOf }: HalfCutQuestion,
): readonly HalfCut[] | null {
  const { coefficients } = fitFirth({ terms, outcomes: runs.map(({ through }) => through) });
  if (runs.length === 0 || coefficients.some(({ estimate }) => estimate === null)) return null;
  const names = coefficients.map(({ term }) => term);
  const estimates = coefficients.map(({ estimate }) => estimate as number);
  const coefficient = (term: string) => estimates[names.indexOf(term)] ?? 0;
  if (!(coefficient(SPEED) < 0) || !names.includes(varied)) return null;
  const valuesOf = new Map(terms.map(({ name, values }) => [name, values]));
  const columns = names.map((name) =>
    Float64Array.from(runs, (_, row) => (name === INTERCEPT ? 1 : (valuesOf.get(name)?.[row] as number))),
  );
  const known = knownOf(columns, estimates);
  if (known === null) return null;
  const by = figureOf(coefficient);
  const figure = names.map((name) => by[name] ?? 0);
  const speeds = runs.map(({ speed_mm_s }) => speed_mm_s);
  const slowest = speeds.reduce((a, b) => Math.min(a, b)) / BEYOND;
  const fastest = speeds.reduce((a, b) => Math.max(a, b)) * BEYOND;
  const newest = runs.indexOf(newestOf(runs));
  const cuts = ends.flatMap((at): HalfCut[] => {
    const row = names.map((name, k) =>
      name === varied ? at : ((columns[k] as Float64Array)[newest] as number),
    );
    const rest = row.reduce(
      (sum, value, k) => sum + (names[k] === SPEED ? 0 : value * (estimates[k] as number)),
      0,
    );
    const log = -rest / coefficient(SPEED);
    row[names.indexOf(SPEED)] = log;
    const [gain, speed] = [expectedGain(known, row, figure), Math.exp(log)];
    return gain === null || !(speed >= slowest && speed <= fastest) ? [] : [{ at, speed, gain }];
  });
  return cuts.sort((a, b) => b.gain - a.gain);
}

/** What a person would cut with next; by its id where times do not tell, so that the order of the runs does not matter. @param runs 1 or more */
export function newestOf(runs: readonly JudgedRun[]): JudgedRun {
  return runs.reduce((best, run) => {
    const later = (run.wall ?? 0) - (best.wall ?? 0);
    return later > 0 || (later === 0 && run.id > best.id) ? run : best;
  });
}

/** What the speed of a cut like it holds for: "at 60 % and 1 pass"; empty where neither is known. */
export function settingWords({ power_pct, passes }: JudgedRun): string {
  const said = [
    ...(power_pct === null ? [] : [`${power_pct} %`]),
    ...(passes === null ? [] : [`${passes} ${passes === 1 ? "pass" : "passes"}`]),
  ];
  return said.length === 0 ? "" : ` at ${said.join(" and ")}`;
}

/** A gain as people read it: "5.0 % nearer". */
export function nearerWords(gain: number): string {
  return `about ${(gain * 100).toFixed(gain < 0.1 ? 1 : 0)} % nearer`;
}
