import type { NextCut } from "../../model/review.js";
import { fitFirth } from "../firth.js";
import type { FirthTerm } from "../firth-design.js";
import { INTERCEPT } from "../intercept.js";
import { type JudgedRun, SPEED } from "./base.js";
import { expectedGain, knownOf } from "./expected-gain.js";
import { SECOND } from "./speed-ratio.js";

/** Of the speeds that were seen: further off nobody knows what a cut does. */
const BEYOND = 1.25;

/** Of one more cut of either stock, at the speed that goes through every other time, the one that brings the ratio's limits nearer. */
export function nextOfTwo(
  runs: readonly JudgedRun[],
  terms: readonly FirthTerm[],
  [firsts, seconds]: readonly [readonly JudgedRun[], readonly JudgedRun[]],
  names: readonly [string, string],
): NextCut[] {
  const missing = [firsts, seconds].findIndex((its) => its.length === 0);
  if (missing >= 0)
    return [
      { sentence: `Cut ${names[missing]} at the speeds at which ${names[1 - missing]} was cut.`, gain: null },
    ];
  const fit = fitFirth({ terms, outcomes: runs.map(({ through }) => through) });
  const told = fit.coefficients.flatMap(({ term, estimate }) =>
    estimate === null ? [] : [{ term, estimate }],
  );
  const of = (name: string) => told.findIndex(({ term }) => term === name);
  const [speedAt, secondAt] = [of(SPEED), of(SECOND)];
  const slope = told[speedAt]?.estimate;
  if (told.length < fit.coefficients.length || slope === undefined || secondAt < 0 || slope >= 0)
    return [
      {
        sentence: `Cut both at more speeds, some that surely go through and some that surely do not.`,
        gain: null,
      },
    ];
  const coefficients = told.map(({ estimate }) => estimate);
  const columns = told.map(({ term }) =>
    Float64Array.from(runs, (_, row) =>
      term === INTERCEPT ? 1 : (terms.find(({ name }) => name === term)?.values[row] as number),
    ),
  );
  const known = knownOf(columns, coefficients);
  if (known === null) return [];
  // The logarithm of the ratio is the step over the slope: how it changes with each.
  const step = coefficients[secondAt] as number;
  const figure = told.map(({ term }) =>
    term === SECOND ? -1 / slope : term === SPEED ? step / slope ** 2 : 0,
  );
  const speeds = runs.map(({ speed_mm_s }) => speed_mm_s);
  const [slowest, fastest] = [Math.min(...speeds) / BEYOND, Math.max(...speeds) * BEYOND];
  const found = names.flatMap((name, which) => {
    const row = columns.map((column) => column[column.length - 1] as number);
    row[secondAt] = which;
    const rest = row.reduce(
      (sum, value, k) => sum + (k === speedAt ? 0 : value * (coefficients[k] as number)),
      0,
    );
    row[speedAt] = -rest / slope;
    const [gain, speed] = [expectedGain(known, row, figure), Math.exp(row[speedAt] as number)];
    return gain === null || !(speed >= slowest && speed <= fastest) ? [] : [{ name, speed, gain }];
  });
  const best = found.sort((a, b) => b.gain - a.gain)[0];
  if (best === undefined) return [];
  return [
    {
      sentence: `One more cut of ${best.name} at ${best.speed.toFixed(1)} mm/s would bring the limits of the ratio about ${(best.gain * 100).toFixed(best.gain < 0.1 ? 1 : 0)} % nearer.`,
      gain: best.gain,
    },
  ];
}
