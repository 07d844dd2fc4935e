import { benchEdge } from "./edge.js";
import { benchForecast } from "./forecast.js";
import { benchIdle } from "./idle.js";
import { benchJournal } from "./journal.js";
import { benchPage } from "./page.js";
import type { BenchResult } from "./result.js";
import { benchReview } from "./review.js";
import { benchSealed } from "./sealed.js";
import { benchSearch } from "./search.js";
import { benchTrials } from "./trials.js";
import { benchTruth } from "./truth.js";
import { benchYears } from "./years.js";

const BENCHES: Readonly<Record<string, () => Promise<BenchResult[]>>> = {
  journal: benchJournal,
  sealed: benchSealed,
  years: benchYears,
  edge: benchEdge,
  forecast: benchForecast,
  idle: benchIdle,
  page: benchPage,
  review: benchReview,
  search: benchSearch,
  trials: benchTrials,
  truth: benchTruth,
};

/** Runs those that are named, or all; prints every figure as a ratio to its baseline, and ends with 1 if one misses its bound. */
async function main(names: readonly string[]): Promise<void> {
  for (const name of names.length > 0 ? names : Object.keys(BENCHES)) {
    const bench = BENCHES[name];
    if (bench === undefined)
      throw new Error(`No bench is called "${name}": there are ${Object.keys(BENCHES).join(", ")}.`);
    for (const result of await bench()) show(result);
  }
}

function show({ name, value, baseline, against, unit, bound }: BenchResult): void {
  const ratio = value / baseline;
  const met = bound === null ? true : "atMost" in bound ? ratio <= bound.atMost : ratio >= bound.atLeast;
  const wanted =
    bound === null ? "" : "atMost" in bound ? `, at most ${bound.atMost}` : `, at least ${bound.atLeast}`;
  if (!met) process.exitCode = 1;
  process.stdout.write(
    `${met ? "  " : "! "}${ratio.toPrecision(3)}${wanted}: ${name}: ${value.toPrecision(4)} ${unit} against ${against} (${baseline.toPrecision(4)} ${unit})\n`,
  );
}

await main(process.argv.slice(2));
